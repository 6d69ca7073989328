import type { Page } from 'playwright-core';

/** The sizes of the files in which checks lay aside what is held of photos. */
export const filesAside = (page: Page): Promise<number[]> =>
  page.evaluate(async () => {
    const root = await navigator.storage.getDirectory();
    const folder = await root.getDirectoryHandle('prewrap-lanes', { create: true });
    const sizes: number[] = [];
    for await (const handle of folder.values())
      if (handle.kind === 'file') sizes.push((await (handle as FileSystemFileHandle).getFile()).size);
    return sizes;
  });
