import * as z from 'zod/mini';

const messageSchema = z.object({ buildId: z.string(), revision: z.number() });

/** Tells the other open tabs that a build was saved or thrown away here (revision -1), and hears the same from them. */
export function openTabs(onChange: (buildId: string, revision: number) => void): {
  tell: (buildId: string, revision: number) => void;
  close: () => void;
} {
  const channel = new BroadcastChannel('prewrap-builds');
  channel.onmessage = (event) => {
    const message = messageSchema.safeParse(event.data);
    if (message.success) onChange(message.data.buildId, message.data.revision);
  };
  return {
    tell: (buildId, revision) => channel.postMessage({ buildId, revision }),
    close: () => channel.close(),
  };
}
