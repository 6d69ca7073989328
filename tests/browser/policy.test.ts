import { expect, test } from 'vitest';
import { appUnderTest, openSample } from './app_page.ts';

const app = appUnderTest();

test('the page runs no text as code and no script from elsewhere', async () => {
  const page = await app.open();
  const outcome = await page.evaluate(async () => {
    const tried: string[] = [];
    const blocked: string[] = [];
    document.addEventListener('securitypolicyviolation', (event) => blocked.push(event.effectiveDirective));
    // in a later task: what the debugger itself evaluates is exempt from the policy
    await new Promise<void>((resolve) => {
      setTimeout(() => {
        try {
          // oxlint-disable-next-line no-implied-eval, no-new-func -- this is what the policy must forbid
          new Function('return 1')();
          tried.push('function from text ran');
        } catch {
          tried.push('function from text refused');
        }
        resolve();
      }, 0);
    });
    const script = document.createElement('script');
    script.textContent = 'window.inlineRan = true';
    document.head.append(script);
    await new Promise((resolve) => setTimeout(resolve, 100));
    return { tried, inlineRan: 'inlineRan' in window, blocked };
  });
  expect(outcome.tried).toEqual(['function from text refused']);
  expect(outcome.inlineRan).toBe(false);
  expect(outcome.blocked).toContain('script-src-elem');
  // the browser reports both refusals, as it should
  expect(app.complaints.splice(0).length).toBeGreaterThan(0);
});

test('nothing is asked of any other server', async () => {
  const context = await app.newContext();
  const asked: string[] = [];
  context.on('request', (request) => asked.push(request.url()));
  const page = await app.open(context);
  await openSample(page);
  const own = new URL(app.url).origin;
  expect(asked.filter((url) => !url.startsWith(own) && !url.startsWith('blob:'))).toEqual([]);
});
