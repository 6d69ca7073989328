import { readFile } from 'node:fs/promises';
import { chromium, type Page } from 'playwright-core';
import sharp from 'sharp';
import { onDisk } from './files_on_disk.ts';
import { tabTo } from './keyboard.ts';

const sampleFolder = new URL('../../fixtures/sample/', import.meta.url);

/** The sample's files; its first photo as a phone held upright stores it: lying on its side, with a note to turn it. */
async function filesWithTurnedPhoto() {
  const names = ['plan.json', 'shoot.json', ...[1, 2, 3, 4, 5, 6].map((i) => `photos/0${i}.jpg`)];
  return Promise.all(
    names.map(async (name) => {
      const bytes = await readFile(new URL(name, sampleFolder));
      const turned = name.endsWith('01.jpg')
        ? await sharp(bytes).rotate(270).jpeg({ quality: 92 }).withMetadata({ orientation: 6 }).toBuffer()
        : bytes;
      const mimeType = name.endsWith('json') ? 'application/json' : 'image/jpeg';
      return { name: name.slice(name.lastIndexOf('/') + 1), mimeType, buffer: turned };
    }),
  );
}

/**
 * The zip of a build made of the sample's own files, its first photo turned, with the check the app made of them: for
 * all tests that only look at a checked build. It is made by keyboard alone, its files laid into `folder`. Throws where
 * the answer is not what was set wrong on purpose, or where the focus does not go on at it.
 */
export async function makeCheckedSample(browserAddress: string, appUrl: string, folder: string): Promise<Buffer> {
  const browser = await chromium.connect(browserAddress);
  try {
    const page = await browser.newPage({ viewport: { width: 1280, height: 800 } });
    await page.goto(appUrl);
    const chooser = page.waitForEvent('filechooser');
    await tabTo(page, /^Open plan and photos/);
    await page.keyboard.press('Enter');
    const files = await filesWithTurnedPhoto();
    await (await chooser).setFiles(await Promise.all(files.map((file) => onDisk(file, folder))));
    await page.getByRole('button', { name: 'Check the rod' }).waitFor();
    await tabTo(page, /^Check the rod/);
    await page.keyboard.press('Enter');
    const answer = page.getByRole('status', { name: 'Is it ready' });
    await answer.waitFor({ timeout: 400_000 });
    const said = await answer.getByRole('heading').innerText();
    await page.getByRole('region', { name: 'Checking' }).waitFor({ state: 'detached' });
    if (said.trim() !== 'Move three guides.') throw new Error(`The sample's check says: ${said}`);
    // not at the page's top
    await tabTo(page, /^Slide G2/);
    await page.keyboard.press('Enter');
    await page.locator('.item-open .item-id', { hasText: 'G2' }).waitFor();
    return await savedBuild(page);
  } finally {
    await browser.close();
  }
}

async function savedBuild(page: Page): Promise<Buffer> {
  await page.getByRole('link', { name: /^Record/ }).click();
  const coming = page.waitForEvent('download');
  await page.getByRole('button', { name: 'Save the whole build' }).click();
  const parts: Buffer[] = [];
  for await (const part of await (await coming).createReadStream()) parts.push(part as Buffer);
  return Buffer.concat(parts);
}
