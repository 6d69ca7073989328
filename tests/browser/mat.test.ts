import type { Page } from 'playwright-core';
import { expect, test } from 'vitest';
import { appUnderTest, desk, downloaded } from './app_page.ts';
import { openPlanned } from './sample_build.ts';

const app = appUnderTest();

/** The sample's mat step: A4, five tiles, all of it measured. */
async function atMat(): Promise<Page> {
  const page = await app.openAgain({ locale: 'en-GB', viewport: desk });
  await openPlanned(page, 'Mat');
  return page;
}
async function goToStep(page: Page, step: string): Promise<void> {
  await page
    .getByRole('navigation', { name: 'Steps of this build' })
    .getByRole('link', { name: new RegExp(`^${step}`) })
    .click();
  await page.getByRole('heading', { level: 1, name: step }).waitFor();
}
async function fill(page: Page, label: string, text: string): Promise<void> {
  await page.getByLabel(label, { exact: true }).fill(text);
  await page.keyboard.press('Tab');
}
/** What the open build keeps of the shoot, from the browser's own store. */
const keptShoot = (page: Page) =>
  page.evaluate(async () => {
    const open = indexedDB.open('prewrap');
    const database = await new Promise<IDBDatabase>((resolve) => {
      open.onsuccess = () => resolve(open.result);
    });
    const [, , id] = window.location.hash.split('/');
    const kept = database.transaction('builds').objectStore('builds').get(id!);
    const build = await new Promise<{ document: { shoot: Record<string, unknown> } }>((resolve) => {
      kept.onsuccess = () => resolve(kept.result);
    });
    database.close();
    return build.document.shoot;
  });

/** Millimetres to points, PDF's unit. */
const points = (mm: number) => (mm / 25.4) * 72;

async function savedPdf(page: Page): Promise<{ name: string; text: string }> {
  const download = page.waitForEvent('download');
  await page.getByRole('button', { name: 'Save the PDF' }).click();
  const file = await download;
  return { name: file.suggestedFilename(), text: (await downloaded(file)).toString('latin1') };
}

test('the PDF has a page for each tile and one for the seat card, in true millimetres', async () => {
  const page = await atMat();
  const { name, text } = await savedPdf(page);
  expect(name).toBe('prewrap-mat-5xA4.pdf');
  const boxes = [...text.matchAll(/\/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/g)].map((box) => [+box[1]!, +box[2]!]);
  expect(boxes).toHaveLength(6);
  for (const [width, height] of boxes) {
    expect(width).toBeCloseTo(points(297), 3);
    expect(height).toBeCloseTo(points(210), 3);
  }
  expect(text).toContain('/PrintScaling /None');
  // one user unit is a millimetre, and a row's squares reach over 224 mm from outer edge to outer edge
  const scale = Number(/([\d.]+) 0 0 [\d.]+ [\d.]+ [\d.]+ cm/.exec(text)![1]);
  const squares = [...text.matchAll(/0 g\n(-?[\d.]+) -?[\d.]+ ([\d.]+) [\d.]+ re/g)].slice(0, 10);
  const edges = squares.flatMap(([, x, width]) => [Number(x), Number(x) + Number(width)]);
  expect((Math.max(...edges) - Math.min(...edges)) * scale).toBeCloseTo(points(224), 4);
});

test('Letter and more tiles change the PDF and are kept', async () => {
  const page = await atMat();
  await page.getByLabel('Letter').check();
  await page.getByRole('button', { name: 'One tile more' }).click();
  await page.getByText('Saved', { exact: true }).waitFor();
  const { name, text } = await savedPdf(page);
  const box = /\/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/.exec(text)!;
  expect([Number(box[1]), Number(box[2])]).toEqual([792, 612]);
  expect(text.match(/\/Type \/Page /g)).toHaveLength(Number(/mat-(\d+)xLetter/.exec(name)![1]) + 1);
  await page.reload();
  expect(await page.getByLabel('Letter').isChecked()).toBe(true);
});

test('printed from the page, each tile is its paper’s size', async () => {
  const page = await atMat();
  await page.evaluate(() => {
    window.print = () => {};
  });
  await page.getByRole('button', { name: 'Print from here' }).click();
  await page.locator('.sheet').nth(5).waitFor({ state: 'attached' });
  const pdf = (await page.pdf({ preferCSSPageSize: true })).toString('latin1');
  const boxes = [...pdf.matchAll(/\/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/g)].map((found) => found.slice(1).map(Number));
  expect(boxes).toHaveLength(6);
  for (const [width, height] of boxes) {
    // Chromium rounds pages to whole points
    expect(Math.abs(width! - points(297))).toBeLessThan(1);
    expect(Math.abs(height! - points(210))).toBeLessThan(1);
  }
  await page.evaluate(() => window.dispatchEvent(new Event('afterprint')));
  await page.locator('.sheets').waitFor({ state: 'detached' });
});

test('a bar typed in another unit, or with its point slipped, is caught and not used', async () => {
  const page = await atMat();
  await fill(page, 'Bar along the mat', '3.93');
  await page.getByText('if that was 3.93 in, enter 99.8 mm').waitFor();
  await page.getByText('Not used until it is right.').waitFor();
  await page.getByText('Saved', { exact: true }).waitFor();
  expect((await keptShoot(page)).mat).not.toHaveProperty('barAlong');
  await fill(page, 'Bar along the mat', '998');
  await page.getByText('if the decimal point has slipped, enter 99.8 mm').waitFor();
  await fill(page, 'Bar along the mat', '99.8');
  expect(await page.getByText('Not used').count()).toBe(0);
  await expect.poll(() => keptShoot(page)).toMatchObject({ mat: { barAlong: 99.8, barAcross: 100 } });
});

test('a span that the tiles cannot make is caught; another tag can be named', async () => {
  const page = await atMat();
  await fill(page, 'Span', '1148');
  await page.getByText('read the tape again and check the two tags').waitFor();
  await page.getByText('The tape went from another tag to another').click();
  await fill(page, 'To tag', '34');
  // to tag 34 the same reading is right but for the joints
  await fill(page, 'Span', '1121');
  await expect.poll(() => keptShoot(page)).toMatchObject({ mat: { span: { fromTag: 0, toTag: 34, length: 1121 } } });
  await fill(page, 'To tag', '37');
  await page.getByText('Name two tags of one row').waitFor();
  expect(await keptShoot(page)).toMatchObject({ mat: { span: { toTag: 34 } } });
});

test('inches are read where the builder reads inches, and a unit may always be written', async () => {
  const page = await atMat();
  await page.getByText('Looks').click();
  await page.getByLabel('Lengths in').selectOption('in-fraction');
  await page.getByText('Looks').click();
  await fill(page, 'Grip’s diameter', '1 1/8');
  await fill(page, 'Bar across the mat', '99.7 mm');
  await expect
    .poll(() => keptShoot(page))
    .toMatchObject({
      mat: { barAcross: 99.7 },
      rest: { kind: 'flat', gripDiameter: expect.closeTo(28.575, 6) as number },
    });
  await goToStep(page, 'Plan');
  await page.getByLabel('Grip’s diameter').waitFor({ state: 'detached' });
  await goToStep(page, 'Mat');
  expect(await page.getByLabel('Grip’s diameter').inputValue()).toBe('1.125');
});

test('blocks count only with their height; roll and stage are kept; undo takes each back', async () => {
  const page = await atMat();
  await page.getByLabel('On blocks of one height').check();
  await page.getByText('Until the height is given').waitFor();
  expect(await keptShoot(page)).toMatchObject({ rest: { kind: 'flat', gripDiameter: 26 } });
  await fill(page, 'From the paper to the blank’s middle', '41.5');
  await page.getByLabel('The spine line').check();
  await page.getByLabel('The rings belong').selectOption('opposite the line');
  await page.getByLabel('Marks only').check();
  await expect
    .poll(() => keptShoot(page))
    .toMatchObject({
      rest: { kind: 'blocks', axisHeight: 41.5 },
      rollReference: 'spine-line',
      rollAngle: 180,
      stage: 'marks',
    });
  await page.getByLabel('The seat card').check();
  await expect.poll(() => keptShoot(page)).toMatchObject({ rollReference: 'seat-card' });
  expect(await keptShoot(page)).not.toHaveProperty('rollAngle');
  await page.getByText('Cut away from the hand').waitFor();
  for (let i = 0; i < 5; i++) await page.getByRole('button', { name: /^Undo/ }).click();
  await expect
    .poll(() => keptShoot(page))
    .toMatchObject({
      rest: { kind: 'flat', gripDiameter: 26 },
      rollReference: 'seat-card',
      stage: 'rings',
    });
});

test('the tiles follow the blank’s length', async () => {
  const page = await app.open(await app.newContext({ locale: 'en-US' }));
  await page.getByRole('button', { name: 'New build' }).click();
  await goToStep(page, 'Mat');
  await page.getByText('the tiles are counted for you').waitFor();
  expect(await page.getByLabel('Letter').isChecked()).toBe(true);
});
