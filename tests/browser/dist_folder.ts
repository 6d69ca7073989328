import { fileURLToPath } from 'node:url';

export const distFolder = fileURLToPath(new URL('../../dist', import.meta.url));
