const onTerminal = process.stderr.isTTY === true;

/** Says how far the work is, on a terminal. */
export function showProgress({ stage, done }: { stage: string; done: number }): void {
  if (onTerminal) process.stderr.write(`\r\u001b[K${Math.round(100 * done)} %  ${stage}`);
}

export function endProgress(): void {
  if (onTerminal) process.stderr.write('\r\u001b[K');
}
