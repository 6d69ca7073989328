import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';
import { desk, phone } from './app_page.ts';

const axeFile = createRequire(import.meta.url).resolve('axe-core/axe.min.js');

/** What axe finds wrong on the page as it stands: WCAG 2.2 A and AA, each with the element. */
export async function axeProblems(page: Page): Promise<string[]> {
  if (!(await page.evaluate(() => 'axe' in window))) await page.evaluate(await readFile(axeFile, 'utf8'));
  return page.evaluate(async () => {
    const { axe: checker } = window as unknown as { axe: typeof import('axe-core') };
    const result = await checker.run(document, {
      runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'],
      // of what passes no list is made: it takes as long as the looking
      resultTypes: ['violations'],
    });
    return result.violations.flatMap(({ id, nodes }) => nodes.map((node) => `${id}: ${node.target.join(' ')}`));
  });
}

/** The open page's problems at both sizes, light and dark. */
export async function problemsEverywhere(page: Page): Promise<string[]> {
  const found: string[] = [];
  for (const [viewport, colorScheme] of [
    [phone, 'light'],
    [desk, 'dark'],
  ] as const) {
    await page.setViewportSize(viewport);
    await page.emulateMedia({ colorScheme });
    found.push(...(await axeProblems(page)).map((problem) => `${viewport.width} px, ${colorScheme}: ${problem}`));
  }
  return found;
}
