import { layOut } from '../../plan/layouts/layout.ts';
import { exportBuild } from '../../store/export_build.ts';
import { importBuild } from '../../store/import_build.ts';
import { salvageBuild } from '../../store/salvage.ts';
import type { DeskTasks } from './desk_tasks.ts';
import { lockDown } from './lock_down.ts';
import { serveCalls } from './serve_calls.ts';

lockDown();

/** Layouts by bend and zips, off the page's own thread. */
serveCalls<DeskTasks>({
  layOut,
  export: exportBuild,
  import: ({ file, name }) => importBuild(file, name),
  salvage: salvageBuild,
});
