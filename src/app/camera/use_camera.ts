import { useEffect, useState } from 'react';
import { photoWords } from '../words/photo_words.ts';
import { canTakeStill } from './camera_still.ts';
import { type CameraProblem, closeCamera, isStream, openCamera } from './camera_stream.ts';

export type Opened = { kind: 'opening' } | { kind: 'open'; stream: MediaStream } | { kind: 'problem'; message: string };

/** The camera, open for as long as the component stands on the page. */
export function useCamera(): Opened {
  const [opened, setOpened] = useState<Opened>({ kind: 'opening' });
  const { camera } = photoWords;
  useEffect(() => {
    let stream: MediaStream | undefined;
    let gone = false;
    void openCamera(!canTakeStill()).then((answer) => {
      if (!isStream(answer)) return setOpened({ kind: 'problem', message: problemWords(answer) });
      if (gone) return closeCamera(answer);
      stream = answer;
      stream
        .getVideoTracks()[0]
        ?.addEventListener('ended', () => setOpened({ kind: 'problem', message: camera.ended }));
      setOpened({ kind: 'open', stream });
    });
    return () => {
      gone = true;
      if (stream) closeCamera(stream);
    };
  }, [camera]);
  return opened;
}

function problemWords(problem: CameraProblem): string {
  const { camera } = photoWords;
  return problem.kind === 'failed' ? camera.failed(problem.why) : camera[problem.kind];
}
