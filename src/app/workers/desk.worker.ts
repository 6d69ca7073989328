import { parseMatProfile } from '../../adjust/mat_file.ts';
import { parseLensProfile } from '../../adjust/lens_file.ts';
import { inspectPhotoFile } from '../../photo/inspect_photo.ts';
import { layOut } from '../../plan/layouts/layout.ts';
import { exportBuild } from '../../store/export_build.ts';
import { importBuild } from '../../store/import_build.ts';
import { keptLensOf, keptMatOf } from '../../store/profile_to_keep.ts';
import { salvageBuild } from '../../store/salvage.ts';
import type { DeskTasks } from './desk_tasks.ts';
import { lockDown } from './lock_down.ts';
import { serveCalls } from './serve_calls.ts';

lockDown();

/** Layouts by bend, zips and photos' headers, off the page's own thread. */
serveCalls<DeskTasks>({
  layOut,
  readMat: async ({ file, name }) => {
    const profile = parseMatProfile(await file.text(), name);
    return { mat: keptMatOf(profile), readings: profile.readings };
  },
  readLens: async ({ file, name }) => keptLensOf(parseLensProfile(await file.text(), name)),
  export: exportBuild,
  import: ({ file, name }) => importBuild(file, name),
  salvage: salvageBuild,
  inspectPhoto: async ({ file, name }) => {
    inspectPhotoFile({ name, bytes: new Uint8Array(await file.arrayBuffer()) });
    return true as const;
  },
});
