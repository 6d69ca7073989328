import { mkdtempSync } from 'node:fs';
import { rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { appUnderTest, checkTime, sampleFolder } from './app_page.ts';
import { problemsEverywhere } from './axe_problems.ts';
import { writeCameraVideo } from './camera_video.ts';
import { chooseFiles, placelessPlan } from './sample_build.ts';

const folder = mkdtempSync(join(tmpdir(), 'prewrap-camera-'));
const video = join(folder, 'camera.y4m');
const photo = (name: string) => join(sampleFolder, 'photos', name);

// the sample's first photo: from straight above tiles 1 and 2
beforeAll(() => writeCameraVideo(video, [photo('01.jpg'), photo('01.jpg')]));
afterAll(() => rm(folder, { recursive: true }));
const camera = ['--use-fake-device-for-media-stream', `--use-file-for-fake-video-capture=${video}`];
const app = appUnderTest([...camera, '--use-fake-ui-for-media-stream']);
const refusing = appUnderTest([...camera, '--use-fake-ui-for-media-stream=deny']);

/** A build without photos, at its photos step, on A4: of the sample's blank, or of its whole plan to be measured by. */
async function atPhotos({
  prepare,
  browser = app,
  measured = false,
}: {
  prepare?: (context: BrowserContext) => Promise<unknown>;
  browser?: typeof app;
  measured?: boolean;
} = {}) {
  const context = await browser.newContext({ locale: 'en-GB', bypassCSP: true });
  await prepare?.(context);
  const page = await browser.open(context);
  const plan = measured ? join(sampleFolder, 'plan.json') : await placelessPlan();
  await chooseFiles(page, 'Open plan and photos', plan);
  await page
    .getByRole('navigation', { name: 'Steps of this build' })
    .getByRole('link', { name: /^Photos/ })
    .click();
  return page;
}
const openCamera = (page: Page) => page.getByRole('button', { name: 'Guide me with the camera' }).click();
const takeByHand = (page: Page) => page.getByRole('checkbox', { name: 'Takes photos by itself' }).uncheck();
const advice = (page: Page) => page.getByRole('dialog', { name: 'Camera' }).getByRole('status');

test('it outlines the tags it sees, says when to take the photo, and shows the rod by it and where to go', async () => {
  const page = await atPhotos({ measured: true });
  await openCamera(page);
  await takeByHand(page);
  await expect.poll(() => advice(page).innerText(), { timeout: 120_000 }).toContain('Hold still and take this one.');
  const outlined = Number(await page.locator('.camera-overlay').getAttribute('data-tags'));
  expect(outlined).toBeGreaterThanOrEqual(18);
  const box = (await page.locator('.camera-overlay .rim').boundingBox())!;
  const picture = (await page.locator('.camera-picture').boundingBox())!;
  expect(box.width).toBeGreaterThan(picture.width * 0.5);
  await page.getByRole('button', { name: 'Take this one' }).click();
  // where the rod lies is measured meanwhile
  await page.getByText(/^Made out so far: G1\b/).waitFor({ timeout: checkTime });
  const onward = /Move along to G\d and G\d \(tile 3\)\./;
  await expect.poll(() => advice(page).innerText(), { timeout: 120_000 }).toMatch(onward);
  expect(await problemsEverywhere(page)).toEqual([]);
  await page.getByRole('button', { name: 'Done' }).click();
  await page.getByText('Measured so far, from one photo').waitFor();
  const place = await page.getByRole('link', { name: /^G1, / }).getAttribute('aria-label');
  expect(place).toMatch(/so far made out at 9[12]/);
  const row = page.getByRole('list', { name: 'Photos of this shoot' }).getByRole('listitem');
  await expect.poll(() => row.innerText(), { timeout: 120_000 }).toMatch(/20 tags, tiles 1 to 2, from above/);
  // a stream's still is small, and that is said
  expect(await row.innerText()).toContain('Only 2.1 megapixels');
  await page.getByText('Saved', { exact: true }).waitFor();
  await page.reload();
  await expect.poll(() => row.innerText(), { timeout: 120_000 }).toMatch(/photo-\d{8}-\d{6}\.(png|jpg)/);
});

test('the camera is let go when the view closes', async () => {
  const page = await atPhotos();
  await page.evaluate(() => {
    const getUserMedia = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
    navigator.mediaDevices.getUserMedia = async (constraints) => {
      const stream = await getUserMedia(constraints);
      Object.assign(window, { track: stream.getVideoTracks()[0] });
      return stream;
    };
  });
  const trackState = () => page.evaluate(() => (window as unknown as { track: MediaStreamTrack }).track.readyState);
  await openCamera(page);
  await page.getByRole('button', { name: 'Take this one' }).waitFor();
  expect(await trackState()).toBe('live');
  await page.keyboard.press('Escape');
  await expect.poll(() => page.getByRole('dialog', { name: 'Camera' }).count()).toBe(0);
  await expect.poll(trackState).toBe('ended');
});

test('where the camera is refused it says so calmly and the camera app stays', async () => {
  const page = await atPhotos({ browser: refusing });
  await openCamera(page);
  await expect
    .poll(() => advice(page).innerText())
    .toMatch(/^The camera is not allowed on this page, and that is fine/);
  const chooser = page.waitForEvent('filechooser');
  await page.getByRole('button', { name: 'Use the camera app' }).click();
  await (await chooser).setFiles([photo('02.jpg')]);
  await expect.poll(() => page.locator('.camera-last').innerText(), { timeout: 120_000 }).toContain('Good');
});

test('where there is no camera it says so', async () => {
  const page = await atPhotos({
    prepare: (context) =>
      context.addInitScript(() => {
        // the empty page before has no cameras to speak of
        if (!navigator.mediaDevices) return;
        navigator.mediaDevices.getUserMedia = () => Promise.reject(new DOMException('none', 'NotFoundError'));
      }),
  });
  await openCamera(page);
  await expect.poll(() => advice(page).innerText()).toMatch(/^No camera was found here/);
});

test('without stills from the stream it takes its frames, and says before what that costs', async () => {
  const page = await atPhotos({
    prepare: (context) => context.addInitScript(() => void Reflect.deleteProperty(window, 'ImageCapture')),
  });
  await openCamera(page);
  await takeByHand(page);
  await expect.poll(() => advice(page).innerText(), { timeout: 120_000 }).toContain('Hold still and take this one.');
  await page
    .getByText('Pictures from here are 1920 pixels long, a phone’s own photos 4032: expect about twice the doubt')
    .waitFor();
  await page.getByRole('button', { name: 'Take this one' }).click();
  await expect.poll(() => page.locator('.camera-last').innerText(), { timeout: 120_000 }).toContain('Will do');
  const chooser = page.waitForEvent('filechooser');
  await page.getByRole('button', { name: 'Use the camera app' }).click();
  await chooser;
});

test('what was changed is kept before the camera opens', async () => {
  const page = await atPhotos();
  await page.getByText('Looks').click();
  await page.getByRole('button', { name: 'Green' }).click();
  await page.getByText('Looks').click();
  // the moment the camera is asked for is the moment to look
  await page.evaluate(() => {
    navigator.mediaDevices.getUserMedia = async () => {
      const open = indexedDB.open('prewrap');
      const database = await new Promise<IDBDatabase>((resolve) => {
        open.onsuccess = () => resolve(open.result);
      });
      const all = database.transaction('builds').objectStore('builds').getAll();
      const builds = await new Promise<{ document: { thread: string } }[]>((resolve) => {
        all.onsuccess = () => resolve(all.result);
      });
      database.close();
      Object.assign(window, { keptThread: builds[0]!.document.thread });
      throw new DOMException('none', 'NotFoundError');
    };
  });
  await openCamera(page);
  await expect
    .poll(() => page.evaluate(() => (window as unknown as { keptThread?: string }).keptThread))
    .toBe('#2f6b3c');
});
