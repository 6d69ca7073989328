import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { parseMatProfile } from '../../src/adjust/mat_file.ts';
import { appUnderTest, checkTime, downloaded, runCheck, sampleFolder } from './app_page.ts';
import { axeProblems } from './axe_problems.ts';
import { looseLens } from './loose_lens.ts';
import { chooseFiles, openShortWalk } from './sample_build.ts';

const app = appUnderTest();

test(
  'a mat is kept from a build’s photos, named and saved; a check uses a kept lens, and does not count a photo of the mat twice',
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

    await page.getByRole('link', { name: 'All builds' }).click();
    await page.getByText('Your cameras', { exact: true }).click();
    await chooseFiles(page, 'Open a lens file', await looseLens('Bench phone'));
    await page.getByRole('textbox', { name: 'Name of Bench phone' }).waitFor();

    // a build without readings of its own takes the mat's; its photo is one of those that made the mat
    const sample = async (path: string) => ({
      name: path.split('/').at(-1)!,
      mimeType: path.endsWith('json') ? 'application/json' : 'image/jpeg',
      buffer: await readFile(join(sampleFolder, path)),
    });
    await chooseFiles(page, 'Open plan and photos', await Promise.all(['plan.json', 'photos/01.jpg'].map(sample)));
    await page.getByRole('button', { name: 'Check the rod' }).waitFor();
    await step('Mat');
    await page.getByRole('radio', { name: 'Bench mat' }).check();
    await page.getByText('Saved', { exact: true }).waitFor();
    await step('Check');
    await runCheck(page);
    await page.getByText('The kept mat “Bench mat” was made from these very photos').first().waitFor();
    await page.getByText('The kept lens “Bench phone” was used.').waitFor();
  },
  2 * checkTime,
);
