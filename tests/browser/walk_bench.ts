import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { desk, sampleFolder } from './app_page.ts';
import { writeMovingVideo } from './camera_video.ts';
import { launchChromium } from './chromium.ts';
import { distFolder } from './dist_folder.ts';
import { chooseFiles, fillSampleReadings } from './sample_build.ts';
import { serveFolder } from './static_server.ts';

/** What a walk of photos took in the built app, seconds unless said otherwise. */
export interface WalkTook {
  /** from the address asked for to the first screen painted, nothing kept from before */
  firstScreen: number;
  photos: number;
  /** from the tap that opens the camera */
  toVerdict: number;
  /** from the moment the last photo was taken: what the camera gave, in hand */
  afterLastPhoto: number;
  /** the longest the page could not have answered a tap, from its start to the verdict, ms; 0 under 50 */
  longestTask: number;
  verdict: string;
}

/** Optimizes code as a phone's browser does, which tests leave out. */
const asUsed = '--js-flags=--turbofan';

/**
 * A walk along the sample's rod with Chromium's fake camera, which moves from one of the six photos to the next and
 * holds each for three seconds: the built app takes its photos by itself and goes on to the verdict without a tap.
 */
export async function benchWalk(): Promise<WalkTook> {
  const folder = mkdtempSync(join(tmpdir(), 'prewrap-bench-walk-'));
  const video = join(folder, 'walk.y4m');
  const photos = ['01', '02', '03', '04', '05', '06'].map((name) => join(sampleFolder, 'photos', `${name}.jpg`));
  await writeMovingVideo(video, photos);
  const server = await serveFolder(distFolder);
  const browser = await launchChromium([
    asUsed,
    '--use-fake-device-for-media-stream',
    `--use-file-for-fake-video-capture=${video}`,
    '--use-fake-ui-for-media-stream',
  ]);
  try {
    const page = await (await browser.newContext({ locale: 'en-GB', viewport: desk })).newPage();
    await page.addInitScript(clocks);
    await page.goto(server.url);
    await page.getByRole('heading', { level: 1 }).waitFor();
    await toPhotos(page);
    await page.getByRole('button', { name: 'Guide me with the camera' }).click();
    // asked seldom: each question is work of the page
    const over = () => (globalThis as Clocked).clocks.verdict > 0;
    await page.waitForFunction(over, undefined, { polling: 500, timeout: 300_000 });
    const answer = page.getByRole('status', { name: 'Is it ready' });
    const verdict = (await answer.getByRole('heading').innerText()).trim();
    return { verdict, ...(await page.evaluate(read)) };
  } finally {
    await browser.close();
    await server.stop();
    rmSync(folder, { recursive: true });
  }
}

/** A build of the sample's plan and readings, without a photo, at its photos. */
async function toPhotos(page: Page): Promise<void> {
  await chooseFiles(page, 'Open plan and photos', join(sampleFolder, 'plan.json'));
  await fillSampleReadings(page);
  await page
    .getByRole('navigation', { name: 'Steps of this build' })
    .getByRole('link', { name: /^Photos/ })
    .click();
}

interface Clocks {
  firstScreen: number;
  opened: number;
  taken: number[];
  verdict: number;
  longest: number;
}
type Clocked = typeof globalThis & { clocks: Clocks };

/**
 * Runs in the page before its own scripts: notes when what happened, ms from the page's start. No function in it has a
 * name, for what runs this file gives such ones a wrapper that the page lacks.
 */
function clocks(): void {
  const own: Clocks = { firstScreen: 0, opened: 0, taken: [], verdict: 0, longest: 0 };
  (globalThis as Clocked).clocks = own;
  new PerformanceObserver((list) => {
    for (const { duration } of list.getEntries()) own.longest = Math.max(own.longest, duration);
  }).observe({ type: 'longtask', buffered: true });
  new MutationObserver(() => {
    for (const [what, shows] of [
      ['firstScreen', 'h1'],
      ['verdict', '[role=status][aria-label="Is it ready"]'],
    ] as const) {
      if (own[what] !== 0 || !document.querySelector(shows)) continue;
      own[what] = performance.now();
      // once it is painted
      requestAnimationFrame(() => setTimeout(() => (own[what] = performance.now())));
    }
  }).observe(document, { childList: true, subtree: true });
  document.addEventListener('click', ({ target, timeStamp }) => {
    const named = target instanceof Element && target.closest('button')?.textContent;
    if (named && named.includes('Guide me with the camera')) own.opened = timeStamp;
  });
  type Take = (this: unknown, ...all: unknown[]) => Promise<Blob>;
  const capture = (globalThis as unknown as { ImageCapture: { prototype: { takePhoto: Take } } }).ImageCapture
    .prototype;
  const { takePhoto } = capture;
  capture.takePhoto = async function (...all) {
    const photo = await takePhoto.apply(this, all);
    own.taken.push(performance.now());
    return photo;
  };
}

/** Runs in the page once the verdict stands. */
function read(): Omit<WalkTook, 'verdict'> {
  const { firstScreen, opened, taken, verdict, longest } = (globalThis as Clocked).clocks;
  return {
    firstScreen: firstScreen / 1000,
    photos: taken.length,
    toVerdict: (verdict - opened) / 1000,
    afterLastPhoto: (verdict - taken.at(-1)!) / 1000,
    longestTask: longest,
  };
}
