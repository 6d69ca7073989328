import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';
import { expect, test } from 'vitest';
import { appUnderTest, checkTime, desk, phone } from './app_page.ts';
import { openCheckedSample } from './sample_build.ts';

const app = appUnderTest();
const axeFile = createRequire(import.meta.url).resolve('axe-core/axe.min.js');

/** A checked build with the row of G3 open; G3 was taped on 3.2 mm too far toward the butt, at 317.2 mm. */
async function checked(context: Parameters<typeof app.newContext>[0] = {}): Promise<Page> {
  const page = await app.open(await app.newContext(context));
  await openCheckedSample(page);
  await page.getByRole('button', { name: /^G3/ }).click();
  return page;
}

const dialog = (page: Page) => page.getByRole('dialog', { name: 'Point out G3' });
const points = (page: Page) => dialog(page).getByRole('button', { name: /^Point \d+ of/ });
const openPointing = async (page: Page) => {
  await page.getByRole('button', { name: 'Point it out yourself' }).click();
  await page.locator('.hand-image[style*=scale]').waitFor();
};
const facts = (page: Page) => page.locator('.item-open .facts').innerText();

type Place = [number, number];

/** G3's outer rim as the check fitted it in a photo, `count` places spread round it, pixels of the upright photo. */
async function rimOf(page: Page, file: string, count: number): Promise<Place[]> {
  const rim = await page.evaluate(async (name) => {
    const open = indexedDB.open('prewrap');
    const database = await new Promise<IDBDatabase>((resolve) => {
      open.onsuccess = () => resolve(open.result);
    });
    const all = database.transaction('checks').objectStore('checks').getAll();
    const [check] = await new Promise<{ evidence: { photos: PhotoEvidence[] } }[]>((resolve) => {
      all.onsuccess = () => resolve(all.result);
    });
    database.close();
    type PhotoEvidence = { file: string; rings: { id: string; rims: Place[][] }[] };
    type Place = [number, number];
    return check?.evidence.photos.find((one) => one.file === `photos/${name}`)?.rings.find(({ id }) => id === 'G3')
      ?.rims[0];
  }, file);
  expect(rim).toBeDefined();
  return Array.from({ length: count }, (_, k) => rim![Math.floor((k * rim!.length) / count)]!);
}

/** Leaves those photos alone in the kept build's shoot: the next check reads no more than it must. */
const keepPhotos = (page: Page, names: RegExp) =>
  page.evaluate(async (pattern) => {
    const whole = <T>(request: IDBRequest<T>) =>
      new Promise<T>((resolve) => {
        request.onsuccess = () => resolve(request.result);
      });
    const database = await whole(indexedDB.open('prewrap'));
    type Kept = { document: { shoot: { photos: { name: string }[] } } };
    const [build] = (await whole(database.transaction('builds').objectStore('builds').getAll())) as Kept[];
    const { shoot } = build!.document;
    shoot.photos = shoot.photos.filter(({ name }) => pattern.test(name));
    await whole(database.transaction('builds', 'readwrite').objectStore('builds').put(build));
    database.close();
    if (shoot.photos.length !== 2) throw new Error(`${shoot.photos.length} photos are left`);
  }, names);

/** Where a photo's pixel stands on the page, and CSS pixels a photo pixel. */
async function shownAt(page: Page, [x, y]: Place): Promise<{ x: number; y: number; scale: number }> {
  return page.locator('.hand-surface > img').evaluate(
    (image, [px, py]) => {
      const { left, top, width } = image.getBoundingClientRect();
      const scale = width / (image as HTMLElement).offsetWidth;
      // pixel (0, 0) is the centre of the first pixel
      return { x: left + (px + 0.5) * scale, y: top + (py + 0.5) * scale, scale };
    },
    [x, y] as const,
  );
}

const spokenPlace = async (page: Page, number: number): Promise<Place> => {
  const label = await points(page)
    .nth(number - 1)
    .getAttribute('aria-label');
  const [, x, y] = /: ([\d.]+) across, ([\d.]+) down/.exec(label ?? '')!;
  return [Number(x), Number(y)];
};

test('fingers point a ring out in two photos: kept at once, measured by the next check, taken back', async () => {
  const page = await checked({ viewport: phone, hasTouch: true });
  const found = (text: string) =>
    text
      .match(/Found\s+([\d.]+) mm, give or take ([\d.]+)/)!
      .slice(1)
      .map(Number);
  const [, doubtBefore] = found(await facts(page));
  await openPointing(page);
  const image = page.locator('.hand-surface > img');
  const photo = dialog(page).getByLabel('Photo');
  await photo.selectOption({ label: '01.jpg' });
  await expect
    .poll(() => image.evaluate((element: HTMLImageElement) => [element.naturalWidth, element.naturalHeight]))
    .toEqual([2016, 1512]);

  // two fingers zoom and set nothing, one finger pans and sets nothing
  const touch = await page.context().newCDPSession(page);
  const send = (type: 'touchStart' | 'touchMove' | 'touchEnd', ...places: Place[]) =>
    touch.send('Input.dispatchTouchEvent', { type, touchPoints: places.map(([x, y], id) => ({ x, y, id })) });
  const scaleBefore = (await shownAt(page, [0, 0])).scale;
  await send('touchStart', [150, 350]);
  await send('touchStart', [150, 350], [240, 350]);
  for (const by of [10, 20, 30]) await send('touchMove', [150 - by, 350], [240 + by, 350]);
  await send('touchEnd');
  const spread = (await shownAt(page, [0, 0])).scale;
  expect(spread / scaleBefore).toBeCloseTo(150 / 90, 1);
  const start = await shownAt(page, [0, 0]);
  await send('touchStart', [200, 300]);
  for (const by of [15, 30, 40]) await send('touchMove', [200 + by, 300]);
  await send('touchEnd');
  const panned = await shownAt(page, [0, 0]);
  expect(panned.x - start.x).toBeCloseTo(40, 0);
  expect(panned.scale).toBe(start.scale);
  expect(await points(page).count()).toBe(0);
  await dialog(page).getByRole('button', { name: 'Back to the place' }).click();

  const tapAll = async (places: Place[]) => {
    for (const place of places) {
      const { x, y } = await shownAt(page, place);
      await page.touchscreen.tap(x, y);
    }
    await expect.poll(() => points(page).count()).toBe(places.length);
  };
  const rim = await rimOf(page, '01.jpg', 6);
  await tapAll(rim);
  const [first] = rim;
  const { x, y, scale } = await shownAt(page, first!);
  // a tap lands on whole CSS pixels
  const set = await spokenPlace(page, 1);
  expect(Math.hypot(set[0] - first![0], set[1] - first![1])).toBeLessThan(1 / scale + 0.02);

  // a dragged point follows the finger, and the loupe stands clear of it
  await send('touchStart', [x, y]);
  for (const by of [12, 24, 30]) await send('touchMove', [x + by, y - by]);
  const loupe = (await page.locator('.hand-loupe').boundingBox())!;
  const finger = [x + 30, y - 30] as const;
  const dx = Math.max(loupe.x - finger[0], finger[0] - loupe.x - loupe.width, 0);
  const dy = Math.max(loupe.y - finger[1], finger[1] - loupe.y - loupe.height, 0);
  expect(Math.hypot(dx, dy)).toBeGreaterThan(30);
  await send('touchEnd');
  await page.locator('.hand-loupe').waitFor({ state: 'detached' });
  const dragged = await spokenPlace(page, 1);
  expect(dragged[0] - set[0]).toBeCloseTo(30 / scale, 1);
  expect(dragged[1] - set[1]).toBeCloseTo(-30 / scale, 1);
  await dialog(page).getByRole('button', { name: 'Take the point out' }).click();
  expect(await points(page).count()).toBe(5);

  await photo.selectOption({ label: '03.jpg' });
  await page.locator('.hand-image[style*=scale]').waitFor();
  await tapAll(await rimOf(page, '03.jpg', 6));
  await dialog(page).getByText('11 points in 2 photos.').waitFor();
  await dialog(page).getByRole('button', { name: 'Save', exact: true }).click();
  await page.getByText('Pointed out by you: 11 points in 2 photos.').waitFor();
  await page.getByText('Saved', { exact: true }).waitFor();
  await keepPhotos(page, /0[13]\.jpg$/);
  await page.reload();
  await page.getByText('Pointed out by you: 11 points in 2 photos.').waitFor();

  await page.locator('.hand-way').getByRole('button', { name: 'Check again' }).click();
  await expect.poll(() => facts(page), { timeout: checkTime }).toMatch(/by your own hand/);
  const [along, doubt] = found(await facts(page));
  expect(Math.abs(along! - 317.2)).toBeLessThan(doubt!);
  expect(doubt).toBeGreaterThan(doubtBefore!);
  await expect.poll(() => page.locator('.item-open .close-up').count()).toBe(2);
  const sighting = page.getByRole('img', { name: /^The rings as seen along the rod/ });
  expect(await sighting.getAttribute('aria-label')).toContain('G3');

  await page.getByRole('button', { name: 'Take your points back' }).click();
  await page.getByText('Your points are taken back.').waitFor();
  await page.getByRole('button', { name: 'Undo: take back the points of G3' }).click();
  await page.getByRole('button', { name: 'Take your points back' }).waitFor();
});

test('by keyboard alone: set, nudge, take out, save; the view passes axe at both sizes', async () => {
  const page = await checked({ bypassCSP: true, viewport: desk });
  await page.getByRole('button', { name: 'Point it out yourself' }).focus();
  await page.keyboard.press('Enter');
  await page.locator('.hand-image[style*=scale]').waitFor();
  await page.keyboard.press('Tab');
  const scale = async () => (await shownAt(page, [0, 0])).scale;
  const before = await scale();
  await page.keyboard.press('+');
  expect((await scale()) / before).toBeCloseTo(1.5, 3);
  await page.keyboard.press('0');
  expect(await scale()).toBeCloseTo(before, 6);
  await page.mouse.move(300, 300);
  await page.mouse.wheel(0, 200);
  await expect.poll(scale).toBeCloseTo(before * Math.exp(-0.5), 3);
  await page.keyboard.press('0');
  await page.keyboard.press('Enter');
  expect(await points(page).count()).toBe(1);
  const set = await spokenPlace(page, 1);
  await page.keyboard.press('ArrowRight');
  await page.keyboard.press('ArrowUp');
  await page.keyboard.press('Shift+ArrowDown');
  const nudged = await spokenPlace(page, 1);
  expect(nudged[0] - set[0]).toBeCloseTo(0.25, 6);
  expect(nudged[1] - set[1]).toBeCloseTo(1.75, 6);
  await page.locator('.hand-loupe').waitFor();
  await page.keyboard.press('Delete');
  expect(await points(page).count()).toBe(0);
  expect(await dialog(page).getByRole('button', { name: 'Save', exact: true }).isDisabled()).toBe(true);

  const surface = dialog(page).getByRole('application');
  for (const arrow of ['ArrowRight', 'ArrowUp', 'ArrowLeft']) {
    await surface.focus();
    await page.keyboard.press(arrow);
    await page.keyboard.press('Enter');
  }
  expect(await points(page).count()).toBe(3);

  const wrong: string[] = [];
  const axe = await readFile(axeFile, 'utf8');
  for (const [viewport, colorScheme] of [
    [desk, 'light'],
    [phone, 'dark'],
  ] as const) {
    await page.setViewportSize(viewport);
    await page.emulateMedia({ colorScheme });
    await page.evaluate(axe);
    const found = await page.evaluate(async () => {
      const { axe: checker } = window as unknown as { axe: typeof import('axe-core') };
      const { violations } = await checker.run(document.querySelector('dialog[open]')!);
      return violations.flatMap(({ id, nodes }) => nodes.map((node) => `${id}: ${node.target.join(' ')}`));
    });
    wrong.push(...found.map((problem) => `${viewport.width} px: ${problem}`));
  }
  const cramped = await page.evaluate(() => {
    document.documentElement.style.setProperty('font-size', '36px');
    const open = document.querySelector('dialog[open]')!;
    const targets = [...open.querySelectorAll('button, select')].map((element) => element.getBoundingClientRect());
    const small = targets.filter(({ height, width }) => height < 44 || width < 44).length;
    return { small, wide: open.scrollWidth - open.clientWidth };
  });
  expect(wrong).toEqual([]);
  expect(cramped).toEqual({ small: 0, wide: 0 });
  await page.evaluate(() => document.documentElement.style.removeProperty('font-size'));

  // closing with points that aren't saved asks first
  await page.keyboard.press('Escape');
  await dialog(page).getByText('Your points aren’t saved yet.').waitFor();
  await dialog(page).getByRole('button', { name: 'Save', exact: true }).focus();
  await page.keyboard.press('Enter');
  await page.getByText('Pointed out by you: 3 points in 1 photo.').waitFor();
  await page.getByRole('button', { name: 'Undo: point out G3' }).click();
  await page.getByRole('button', { name: 'Point it out yourself' }).waitFor();
});
