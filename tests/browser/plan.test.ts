import type { Page } from 'playwright-core';
import { expect, test } from 'vitest';
import { parsePlan } from '../../src/plan/files/plan_file.ts';
import { appUnderTest, desk, downloaded } from './app_page.ts';

const app = appUnderTest();

async function newBuild(page: Page): Promise<void> {
  await page.getByRole('button', { name: 'New build' }).click();
  await page.getByRole('heading', { name: 'The blank' }).waitFor();
}

async function fillBlank(page: Page, [length, tip, butt]: [string, string, string]): Promise<void> {
  await page.getByLabel(/^Length, tip to butt/).fill(length);
  await page.getByLabel(/^Diameter at the tip/).fill(tip);
  await page.getByLabel(/^Diameter at the butt/).fill(butt);
}

async function addPlaces(page: Page, distances: string[]): Promise<void> {
  for (const [i, distance] of distances.entries()) {
    await page.getByLabel(/^From the tip/).fill(distance);
    await page.getByLabel(/^From the tip/).press('Enter');
    await expect.poll(() => page.locator('.plan-row').count()).toBe(i + 1);
  }
}

const distances = (page: Page) =>
  page.getByLabel(/ from the tip \(/).evaluateAll((inputs) => inputs.map((input) => (input as HTMLInputElement).value));

async function download(page: Page, button: string): Promise<string> {
  const coming = page.waitForEvent('download');
  await page.getByRole('button', { name: button }).click();
  return (await downloaded(await coming)).toString('utf8');
}

test('a plan is typed in fractions, keeps the builder’s writing over a reload, and is saved in full', async () => {
  const page = await app.openAgain();
  await newBuild(page);
  await page.getByLabel('Name of the rod').fill('Kitchen rod');
  await page.getByLabel('Lengths in', { exact: true }).first().selectOption('inches and fractions');
  await fillBlank(page, ['72', '0.07', '7/16']);
  await addPlaces(page, ['4 1/8', '8-9/16', '13.5']);
  expect(await distances(page)).toEqual(['4 1/8', '8-9/16', '13.5']);
  await page.getByText('Saved', { exact: true }).waitFor();
  await page.reload();
  await page.getByRole('heading', { name: 'The blank' }).waitFor();
  expect(await distances(page)).toEqual(['4 1/8', '8-9/16', '13.5']);
  const plan = parsePlan(await download(page, 'Save as plan.json'));
  expect(plan).toMatchObject({ title: 'Kitchen rod', unit: 'in', blank: { length: 72 * 25.4 } });
  expect(plan.positions.map(({ id, at }) => [id, Number((at / 25.4).toFixed(6))])).toEqual([
    ['G1', 4.125],
    ['G2', 8.5625],
    ['G3', 13.5],
  ]);
});

test('what can’t be read stays in its field with one sentence, and is not taken for the value before', async () => {
  const page = await app.openAgain();
  await newBuild(page);
  await fillBlank(page, ['1400', '1.7', '11']);
  await addPlaces(page, ['92', '196']);
  const field = page.getByLabel(/^G2 from the tip/);
  await field.fill('1,200');
  await page.getByText('could be 1200 or 1.200: write it without the comma').waitFor();
  await page.getByRole('main').getByText('One field can’t be read yet.').first().waitFor();
  await page.getByRole('link', { name: /^Mat/ }).click();
  await page.getByRole('link', { name: /^Plan/ }).click();
  expect(await field.inputValue()).toBe('1,200');
  await field.fill('1200');
  expect(await page.getByText('write it without the comma').count()).toBe(0);
  await page.getByRole('main').getByText('Two guides planned.').first().waitFor();
});

test('each change is undone and redone: typing, adding, taking out', async () => {
  const page = await app.openAgain();
  await newBuild(page);
  await addPlaces(page, ['92', '196', '314']);
  await page.getByLabel(/^G2 from the tip/).fill('200');
  await page.getByRole('button', { name: 'Take out G1' }).click();
  expect(await distances(page)).toEqual(['200', '314']);
  const undo = page.getByRole('button', { name: /^Undo/ });
  await undo.click();
  expect(await distances(page)).toEqual(['92', '200', '314']);
  await undo.click();
  expect(await distances(page)).toEqual(['92', '196', '314']);
  await page.getByRole('button', { name: /^Redo/ }).click();
  await page.getByRole('button', { name: /^Redo/ }).click();
  expect(await distances(page)).toEqual(['200', '314']);
});

test('changing the unit changes how every length reads, and no length', async () => {
  const page = await app.openAgain();
  await newBuild(page);
  await fillBlank(page, ['1400', '1.7', '11']);
  await addPlaces(page, ['101.6', '254']);
  await page.getByLabel('Lengths in', { exact: true }).first().selectOption('inches and fractions');
  expect(await distances(page)).toEqual(['4', '10']);
  await page.getByLabel('Lengths in', { exact: true }).first().selectOption('millimetres');
  expect(await distances(page)).toEqual(['101.6', '254']);
  expect(parsePlan(await download(page, 'Save as plan.json')).positions.map(({ at }) => at)).toEqual([101.6, 254]);
});

test('a pasted list shows how each line was read and is taken only when all of it can be', async () => {
  const page = await app.openAgain();
  await newBuild(page);
  await fillBlank(page, ['1400', '1.7', '11']);
  await page.getByText('Paste a list').click();
  const text = page.getByLabel('Your list, one distance a line');
  await text.fill('From the tip\n1) 92\nG2: 19,6 cm\nG3 12 3/18 in\nhook keeper 1160');
  const lines = page.locator('.paste-lines li');
  expect(await lines.count()).toBe(5);
  expect(await lines.nth(1).innerText()).toContain('G1, guide, at 92.0 mm');
  expect(await lines.nth(2).innerText()).toContain('G2, guide, at 196.0 mm');
  expect(await lines.nth(3).innerText()).toContain('a fraction no rule carries');
  expect(await lines.nth(4).innerText()).toContain('hook keeper, at 1160.0 mm');
  expect(await page.getByRole('button', { name: /^Use these/ }).isEnabled()).toBe(false);
  await text.fill((await text.inputValue()).replace('3/18', '3/8'));
  await page.getByRole('button', { name: 'Use these four places' }).click();
  expect(await distances(page)).toEqual(['92', '196', '314.325', '1160']);
  await page.getByRole('button', { name: /^Undo/ }).click();
  expect(await distances(page)).toEqual([]);
});

test('a list that can be read in two ways is taken only once its question is answered, and a new list asks anew', async () => {
  const page = await app.openAgain();
  await newBuild(page);
  await fillBlank(page, ['1418', '1.7', '11.4']);
  await page.getByText('Paste a list').click();
  const text = page.getByLabel('Your list, one distance a line');
  await text.fill('300\n560\n780\n960\n1100');
  await page.getByText('Are these distances counted from the tip or from the butt?').first().waitFor();
  expect(await page.getByRole('button', { name: /^Use these/ }).isEnabled()).toBe(false);
  await page.getByLabel('From the butt', { exact: true }).check();
  const lines = page.locator('.paste-lines li');
  expect(await lines.nth(0).innerText()).toContain('G5, guide, at 1118.0 mm, written as 300.0 mm from the butt');
  await text.fill('300\n560\n780\n960\n1101');
  await page.getByText('Answer the question above').waitFor();
  await page.getByLabel('From the butt', { exact: true }).check();
  await page.getByRole('button', { name: 'Use these five places' }).click();
  expect(await distances(page)).toEqual(['317', '458', '638', '858', '1118']);
});

test('guides that walk round the blank are planned roll by roll', async () => {
  const page = await app.openAgain();
  await newBuild(page);
  await fillBlank(page, ['1900', '2', '13']);
  await addPlaces(page, ['110', '240', '390', '570', '790', '1040', '1330']);
  await page.getByText('Guides that walk round', { exact: true }).click();
  await page.getByText('G6 at 45° from the reel’s side').waitFor();
  await page.getByRole('button', { name: 'Plan these rolls' }).click();
  const plan = parsePlan(await download(page, 'Save as plan.json'));
  expect(plan.positions.map(({ guide }) => guide?.roll)).toEqual([180, 180, 180, 135, 90, 45, undefined]);
});

test('a fly rod is filled in as such rods usually are, set and places as one choice, each number open to change', async () => {
  const page = await app.openAgain();
  await newBuild(page);
  await fillBlank(page, ["9'", '1.7', '10']);
  await page.getByText('Usual for the kind of rod').click();
  await page.getByText('Say where the reel sits').waitFor();
  await page.getByLabel('Kind of rod').selectOption('fly');
  await page.getByText('one guide for each foot of rod and 1 more').waitFor();
  await page.getByLabel('and so many more').fill('0');
  await page.getByRole('button', { name: 'Use these nine places' }).click();
  const plan = parsePlan(await download(page, 'Save as plan.json'));
  expect(plan.blank.length).toBeCloseTo(2743.2, 6);
  expect(plan.positions.map(({ guide }) => guide?.type ?? 'ring')).toEqual([
    ...Array.from({ length: 7 }, () => 'snake'),
    'ring',
    'ring',
  ]);
  expect(plan.positions.at(-1)!.at).toBeCloseTo(0.73 * 2743.2, 3);
  await page.getByRole('region', { name: 'What to look at' }).getByText('Nothing speaks against this plan.').waitFor();
  await page.getByText('How wraps are laid').click();
  await page.getByLabel(/^Trim band’s width/).fill('2');
  await page.getByText(/^Thread for trim bands: \d\.\d m\./).waitFor();
});

test('growing gaps are worked out while they are typed', async () => {
  const page = await app.openAgain();
  await newBuild(page);
  await page.getByText('Gaps that grow', { exact: true }).click();
  await page.getByLabel('Number of guides').fill('4');
  await page.getByLabel(/^First gap/).fill('100');
  await page.getByLabel(/^Last guide at/).fill('520');
  // by hand: 4 gaps of 100 and 6 steps make 520, so a step is 20: 100, 220, 360, 520
  await page.getByText('each gap 20.0 mm longer').waitFor();
  await page.getByRole('button', { name: 'Use these four places' }).click();
  expect(await distances(page)).toEqual(['100', '220', '360', '520']);
});

test('a layout by bend is worked out off the page’s thread, drawn, and taken over', async () => {
  const page = await app.openAgain({ viewport: desk });
  await newBuild(page);
  await fillBlank(page, ['2100', '1.8', '14']);
  await page.getByText('From the bend of the loaded rod').click();
  await page.getByRole('button', { name: 'Work it out' }).click();
  await page.getByText('Still needed: “Modulus along the blank (GPa)”').waitFor();
  for (const [label, value] of [
    [/^Number of guides/, '12'],
    [/^Modulus/, '60'],
    [/^Wall/, '0.8'],
    [/^Pull on the line/, '500'],
    [/^Held in the hand/, '1700'],
    [/^Line leaves/, '1800'],
  ] as const)
    await page.getByLabel(label).fill(value);
  await page.getByRole('button', { name: 'Work it out' }).click();
  const drawing = page.getByRole('img', { name: 'The bent rod' });
  await drawing.waitFor();
  expect(page.workers().map((worker) => worker.url())).toContainEqual(expect.stringContaining('desk.worker'));
  expect(await drawing.locator('text').count()).toBe(12);
  await page.getByText('A rod under load may break without warning').waitFor();
  // worst turn and stretch, then the tip-top and twelve guides, each under the light, working and heavy pull
  const range = page.getByRole('table', { name: /^Under a range of pulls/ });
  expect(await range.getByRole('row').count()).toBe(1 + 2 + 13);
  expect(await range.getByText(/^-?\d+\.\d mm$/).count()).toBe(3 * 13);
  await page.getByRole('button', { name: 'Use these 12 places' }).click();
  const places = (await distances(page)).map(Number);
  expect(places).toHaveLength(12);
  expect(places.every((at, i) => i === 0 || at > places[i - 1]!)).toBe(true);

  // the rod's own drawing shows it under load, and follows what is typed
  const own = page.getByRole('region', { name: 'The rod, to scale' });
  await own.getByText('The rod under load').click();
  const turns = async () => (await own.locator('.bend-drawing text').allTextContents()).join(', ');
  await own.getByRole('img', { name: 'The bent rod' }).waitFor();
  const before = await turns();
  await page.getByLabel(/^G2 from the tip/).fill(String(places[0]! + 20));
  await expect.poll(() => turns()).not.toBe(before);
  await page.getByLabel(/^G2 from the tip/).fill(String(places[1]!));
  await expect.poll(() => turns()).toBe(before);
  await own.getByText('The rod under load').click();

  // the list as it stands, with its last guide moved far from where the bend has it
  await page.getByLabel(/^G12 from the tip/).fill('1650');
  await page.getByLabel('Work out', { exact: true }).selectOption('how the list as it stands bends');
  await page.getByRole('button', { name: 'Work it out' }).click();
  await page.getByText('1650.0 mm').first().waitFor();
  expect(await page.getByRole('button', { name: /^Use these/ }).count()).toBe(0);
});

test('what speaks against the plan is said with its cure, and goes when it is cured', async () => {
  const page = await app.openAgain();
  await newBuild(page);
  await fillBlank(page, ['1400', '1.7', '11']);
  await addPlaces(page, ['92', '196', '314']);
  const findings = page.getByRole('region', { name: 'What to look at' });
  await findings.getByText('Nothing speaks against this plan.').waitFor();
  await page.getByLabel(/^G2 from the tip/).fill('350');
  await findings.getByText(/G3 at 314\.0 mm is not beyond G2 at 350\.0 mm/).waitFor();
  await page.getByRole('button', { name: 'List them from tip to butt' }).click();
  expect(await distances(page)).toEqual(['92', '314', '350']);
  await page.getByLabel(/^Rings 6\.0 mm across/).fill('2');
  await findings.getByText('The plan has 3 guides, the bag 2.').waitFor();
});

test('what sits on the blank counts once both its ends are there, and nothing may be planned on top of it', async () => {
  const page = await app.openAgain();
  await newBuild(page);
  await fillBlank(page, ['1400', '1.7', '11']);
  await addPlaces(page, ['92', '1250']);
  await page.getByText('How exact, fittings, one section of a rod').click();
  const findings = page.getByRole('region', { name: 'What to look at' });
  await page.getByLabel('grip, from').fill('1300');
  await page.getByText('It counts once both ends are there.').waitFor();
  await page.getByLabel('grip, to').fill('1200');
  await page.getByText('“From” is the end nearer the tip').waitFor();
  await findings.getByText('Nothing speaks against this plan.').waitFor();
  await page.getByLabel('grip, from').fill('1200');
  await page.getByLabel('grip, to').fill('1400');
  await findings.getByText(/The foot of G2 and the grip overlap by/).waitFor();
  const plan = parsePlan(await download(page, 'Save as plan.json'));
  expect(plan.fittings).toEqual([{ kind: 'grip', from: 1200, to: 1400 }]);
});

test('stiffness is fitted to a hang test', async () => {
  const page = await app.openAgain();
  await newBuild(page);
  await fillBlank(page, ['2100', '1.8', '14']);
  await page.getByText('From the bend of the loaded rod').click();
  await page.getByLabel('How stiff it is').selectOption('by a hang test');
  for (const [label, value] of [
    [/^Number of guides/, '8'],
    [/^Weight hung/, '100'],
    [/^Pull on the line/, '400'],
    [/^Held in the hand/, '1700'],
    [/^Line leaves/, '1800'],
    [/^1: at/, '0'],
    [/^2: at/, '400'],
    [/^3: at/, '800'],
  ] as const)
    await page.getByLabel(label).fill(value);
  for (const [i, drop] of ['190', '84', '27'].entries())
    await page
      .getByLabel(/^drops by/)
      .nth(i)
      .fill(drop);
  await page.getByRole('button', { name: 'Work it out' }).click();
  await page.getByText(/The hang test fits: stiffness grows as diameter to the power \d/).waitFor();
});

test('the cone from the spool says where each larger ring just takes it', async () => {
  const page = await app.openAgain();
  await newBuild(page);
  await fillBlank(page, ['2000', '1.7', '14']);
  await addPlaces(page, ['600', '900']);
  await page.getByText('First guides for a spinning reel').click();
  for (const [label, value] of [
    [/^Middle of the reel seat/, '1600'],
    [/^Spool’s front edge/, '100'],
    [/^Spool’s diameter/, '44.3'],
    [/^Spool’s near edge/, '20'],
  ] as const)
    await page.getByLabel(label).fill(value);
  await page.getByLabel('The cone ends in').selectOption('G1');
  await page.getByText(/^G2: its bore takes the cone from 600 mm toward the tip/).waitFor();
  await page.getByRole('img', { name: 'Spool, cone and rings from the side' }).waitFor();
});

test('a guide’s shape is kept under a name and used again in another build', async () => {
  const page = await app.openAgain();
  await newBuild(page);
  await addPlaces(page, ['92']);
  await page.getByText('Ring 6 mm, single foot').click();
  await page.getByLabel(/^Ring across, outside/).fill('12.5');
  await page.getByLabel(/^Ring across, inside/).fill('9');
  await page.getByLabel('Keep this shape as').fill('My twelve');
  await page.getByRole('button', { name: 'Keep', exact: true }).click();
  await page.getByText('“My twelve” is kept').waitFor();
  await page.getByRole('link', { name: 'All builds' }).click();
  await newBuild(page);
  await addPlaces(page, ['100']);
  await page.getByText('Ring 6 mm, single foot').click();
  await page.getByLabel('Like').selectOption('My twelve');
  expect(await page.getByLabel(/^Ring across, outside/).inputValue()).toBe('12.5');
});

test('the mark list is printed alone, large enough to read at arm’s length, and saved as CSV', async () => {
  const page = await app.openAgain();
  await newBuild(page);
  await fillBlank(page, ['1400', '1.7', '11']);
  await addPlaces(page, ['92', '196.2']);
  const csv = await download(page, 'Save as CSV');
  expect(csv.split('\r\n')[2]).toMatch(/^G2,guide,196\.20,196\.0 mm,\+0\.20,6\.00,/);
  await page.emulateMedia({ media: 'print' });
  expect(await page.getByRole('heading', { name: 'The blank' }).isVisible()).toBe(false);
  expect(await page.getByText('Take care').isVisible()).toBe(false);
  const size = await page
    .locator('.mark-at')
    .first()
    .evaluate((element) => Number.parseFloat(getComputedStyle(element).fontSize));
  // 26 pt on paper: 96 px to 72 pt
  expect(size).toBeGreaterThanOrEqual((24 * 96) / 72);
  expect(await page.locator('.mark-at').allInnerTexts()).toEqual(['92.0 mm', '196.0 mm']);
});
