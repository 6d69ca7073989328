import * as z from 'zod/mini';
import { answerDesk, type DeskRequest } from './desk_tasks.ts';

const messageSchema = z.object({
  call: z.number(),
  request: z.custom<DeskRequest>((value) => typeof value === 'object' && value !== null && 'task' in value),
});

/** Layouts by bend and zips, off the page's own thread. */
self.onmessage = async (event: MessageEvent<unknown>) => {
  const { call, request } = messageSchema.parse(event.data);
  try {
    postMessage({ call, answer: await answerDesk(request) });
  } catch (error) {
    const expected = error instanceof Error && error.name === 'InputError';
    postMessage({ call, fault: error instanceof Error ? error.message : String(error), expected });
  }
};
