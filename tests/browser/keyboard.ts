import type { Page } from 'playwright-core';

/** Goes on by Tab till the focus is on what is called so; throws where that takes more than 60 steps. */
export async function tabTo(page: Page, name: RegExp): Promise<void> {
  for (let i = 0; i < 60; i++) {
    await page.keyboard.press('Tab');
    const focused = await page.evaluate(
      () => document.activeElement?.getAttribute('aria-label') ?? document.activeElement?.textContent ?? '',
    );
    if (name.test(focused)) return;
  }
  throw new Error(`no ${name} within 60 tabs`);
}
