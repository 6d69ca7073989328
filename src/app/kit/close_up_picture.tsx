import type { ShownEvidence } from '../../store/build.ts';
import { SvgBlobImage } from './blob_image.tsx';
import { itemWords } from '../words/items_words.ts';

/**
 * A cut-out of one photo round an item, with the fitted rims drawn over it, or dotted where it was looked for in vain.
 */
export function CloseUpPicture({ closeUp }: { closeUp: ShownEvidence['closeUps'][number] }) {
  const { picture, rims, file, id, sought } = closeUp;
  const words = sought ? itemWords.soughtUp(id, file) : itemWords.closeUp(id, file);
  // pixel (0, 0) is the centre of the first pixel
  const path = rims.map((rim) => `M${rim.map(([x, y]) => `${x + 0.5} ${y + 0.5}`).join('L')}`).join('');
  return (
    <figure className="close-up">
      <svg viewBox={`0 0 ${picture.width} ${picture.height}`} role="img" aria-label={words}>
        <SvgBlobImage blob={picture.image} x={0} y={0} width={picture.width} height={picture.height} />
        <path className={sought ? 'rim-under rim-sought' : 'rim-under'} d={path} vectorEffect="non-scaling-stroke" />
        <path className={sought ? 'rim rim-sought' : 'rim'} d={path} vectorEffect="non-scaling-stroke" />
      </svg>
      <figcaption>{file.slice(file.lastIndexOf('/') + 1)}</figcaption>
    </figure>
  );
}
