import type { Page } from 'playwright-core';
import { expect, test } from 'vitest';
import { parsePlan } from '../../src/plan/files/plan_file.ts';
import { planOnMat } from '../../src/plan/pieces/pieces.ts';
import type { KeptCheck } from '../../src/store/build.ts';
import { appUnderTest, desk, downloaded, phone } from './app_page.ts';
import { madeReport } from './checked_build.ts';
import { buildZip, flatPicture, samplePlanned } from './made_build.ts';

const app = appUnderTest();

/** The sample's rod as one of two pieces, each checked by itself and found in place, the butt piece last. */
async function checkedInPieces(): Promise<Buffer> {
  const sample = await samplePlanned();
  const plan = { ...sample.plan, joints: [{ kind: 'sleeve' as const, at: 680, length: 60 }] };
  const shoot = { ...sample.readings, stage: 'rings' as const };
  const id = 'two-pieces';
  const checks = [2, 1].map((piece): KeptCheck => {
    const own = planOnMat(plan, { piece });
    const photo = piece === 2 ? 'two' : 'one';
    return {
      id: `check-${piece}`,
      buildId: id,
      at: `2026-11-20T1${piece}:00:00.000Z`,
      plan: own,
      shoot: { ...shoot, piece, photos: [`${photo}.jpg`] },
      photoIds: { [`${photo}.jpg`]: photo },
      report: { ...madeReport(own, true), piece: { number: piece, of: 2 } },
      evidence: { photos: [], rings: [], closeUps: [] },
    };
  });
  const grey = await flatPicture('#777');
  const photos = new Map(['one', 'two'].map((photo) => [photo, grey]));
  return buildZip({ id, plan, shoot: { ...shoot, piece: 2 }, photos, inHand: ['two'], checks });
}

const step = (page: Page, name: string) =>
  page
    .getByRole('navigation', { name: 'Steps of this build' })
    .getByRole('link', { name: new RegExp(`^${name}`) })
    .click();

/** Nothing runs out of the page sideways. */
const noOverflow = async (page: Page) =>
  expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBeLessThanOrEqual(0);

test.each([
  ['a phone', phone],
  ['a desk', desk],
])(
  'on %s a rod is planned in two pieces, each with its own list, and the mat asks which of them it holds',
  async (_, viewport) => {
    const page = await app.open(await app.newContext({ viewport }));
    await page.getByRole('button', { name: 'New build' }).click();
    await page.getByLabel(/^Length, tip to butt/).fill('2130');
    await page.getByLabel(/^Diameter at the tip/).fill('1.9');
    await page.getByLabel(/^Diameter at the butt/).fill('13.6');
    for (const [i, at] of ['200', '1020', '1190'].entries()) {
      await page.getByLabel(/^From the tip/).fill(at);
      await page.getByLabel(/^From the tip/).press('Enter');
      await expect.poll(() => page.locator('.plan-row').count()).toBe(i + 1);
    }
    await page.getByText('Pieces: where the rod comes apart').click();
    await page.getByLabel(/^The piece nearer the tip ends/).fill('1085');
    await page.getByLabel(/^The spigot stands out by/).fill('70');
    await page.getByLabel(/^Gap that shows/).fill('6');
    await page.getByRole('button', { name: 'Add this joint' }).click();
    const pieces = page.getByRole('region', { name: 'The pieces' });
    expect(await pieces.innerText()).toContain('1085.0 mm from the tip to the edge of its opening, two places on it');
    // the spigot counts to the butt piece: 2130 - (1085 + 6 - 70)
    expect(await pieces.innerText()).toContain('1109.0 mm from the end of the spigot to the butt end, one place on it');
    await page.getByText('G2 stands on the joint, where one piece lies inside the other over 70.0 mm.').waitFor();
    const list = page.getByRole('region', { name: 'Mark list' });
    expect(await list.innerText()).toMatch(
      /Piece 1 of 2, with the tip[\s\S]*200\.0 mm[\s\S]*Piece 2 of 2, with the butt\s+Every distance is measured from the end of the spigot\.\s+G3\s+169\.0 mm/,
    );
    await noOverflow(page);
    const coming = page.waitForEvent('download');
    await page.getByRole('button', { name: 'Save as plan.json' }).click();
    const plan = parsePlan((await downloaded(await coming)).toString('utf8'));
    expect(plan.joints).toEqual([{ kind: 'spigot', at: 1085, length: 70, gap: 6 }]);
    await step(page, 'Mat');
    await page.getByText('The blank of 2130 mm needs').waitFor();
    await page.getByLabel('Piece 2 of 2, with the butt').check();
    await page.getByText('The blank of 1109 mm needs').waitFor();
    await page.getByLabel('Piece 1 of 2, with the tip').check();
    await page.getByText('Only the piece with the reel seat can hold the seat card').waitFor();
    await noOverflow(page);
    await step(page, 'Photos');
    await page.getByText('On the mat: piece 1 of 2').waitFor();
  },
);

test('each piece has its check and the rod one record, signed once every piece is ready', async () => {
  const page = await app.open();
  const chooser = page.waitForEvent('filechooser');
  await page.getByRole('button', { name: 'Open plan and photos' }).click();
  await (await chooser).setFiles({
    name: 'rod.zip',
    mimeType: 'application/zip',
    buffer: await checkedInPieces(),
  });
  const answer = page.getByRole('status', { name: 'Is it ready' });
  await answer.getByText('Ready to wrap.').waitFor();
  expect(await answer.innerText()).toContain('Piece 2 of 2, with the butt');
  await page.getByRole('button', { name: 'Take photos of the rod put together' }).waitFor();
  await step(page, 'Record');
  const record = page.getByRole('region', { name: 'Record of the rod, piece by piece' });
  await record.waitFor();
  const text = await record.innerText();
  expect(text).toMatch(/Every piece is ready\.[\s\S]*Piece 1 of 2[\s\S]*G1[\s\S]*Piece 2 of 2[\s\S]*G7/);
  expect(text).toContain('The joints were not checked: the rod was not shot put together.');
  expect(await record.locator('.signature').count()).toBe(1);
  await noOverflow(page);
  // a place moved on the tip piece takes its check away, and the signature
  await step(page, 'Plan');
  await page.getByLabel(/^G1 from the tip/).fill('95');
  await step(page, 'Record');
  await record.getByText('The plan or the photos changed since this check.').waitFor();
  expect(await record.locator('.signature').count()).toBe(0);
  await page.getByLabel('Record of', { exact: true }).selectOption({ index: 1 });
  await page.getByRole('region', { name: 'Record of the rod', exact: true }).waitFor();
});
