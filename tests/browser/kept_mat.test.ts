import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { parseMatProfile } from '../../src/adjust/mat_file.ts';
import { appUnderTest, checkTime, downloaded, runCheck, sampleFolder } from './app_page.ts';
import { axeProblems } from './axe_problems.ts';
import { chooseFiles, openShortWalk } from './sample_build.ts';

const app = appUnderTest();

test(
  'a mat is kept from a build’s photos, named and saved; a check of one of those photos does not count it twice',
  async () => {
    const page = await app.open(await app.newContext({ locale: 'en-GB' }));
    const step = (name: string) =>
      page
        .getByRole('navigation', { name: 'Steps of this build' })
        .getByRole('link', { name: new RegExp(`^${name}`) })
        .click();
    await openShortWalk(page);
    await step('Mat');
    await page.getByRole('button', { name: 'Keep the mat as these photos show it' }).click();
    await page.getByText(/^Kept: Mat of .*Pages 1, 2, 3, from 2 photos/).waitFor({ timeout: checkTime });
    await page.getByText('Name, save or throw away kept mats').click();
    const name = page.getByRole('textbox', { name: /^Name of Mat of/ });
    await name.fill('Bench mat');
    await name.press('Enter');
    await page.getByRole('textbox', { name: 'Name of Bench mat' }).waitFor();
    expect(await axeProblems(page)).toEqual([]);
    const saving = page.waitForEvent('download');
    await page.getByRole('button', { name: 'Save as a file' }).click();
    const kept = parseMatProfile((await downloaded(await saving)).toString());
    expect(kept.name).toBe('Bench mat');
    expect(kept.signs?.length).toBe(2);

    // a build without readings of its own takes the mat's; one of its photos made the mat
    await page.goto(app.url);
    const sample = async (path: string) => ({
      name: path.split('/').at(-1)!,
      mimeType: path.endsWith('json') ? 'application/json' : 'image/jpeg',
      buffer: await readFile(join(sampleFolder, path)),
    });
    await chooseFiles(
      page,
      'Open plan and photos',
      await Promise.all(['plan.json', 'photos/03.jpg', 'photos/01.jpg'].map(sample)),
    );
    await page.getByRole('button', { name: 'Check the rod' }).waitFor();
    await step('Mat');
    await page.getByRole('radio', { name: 'Bench mat' }).check();
    await page.getByText('Saved', { exact: true }).waitFor();
    await step('Check');
    await runCheck(page);
    await page.getByText('The kept mat “Bench mat” was made from these very photos').first().waitFor();
  },
  2 * checkTime,
);
