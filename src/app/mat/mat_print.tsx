import { useEffect, useState } from 'react';
import { createPortal } from 'react-dom';
import { maximumTiles, type PaperName, paperSizes } from '../../mat/tile.ts';
import { tilesForBlank } from '../../mat/readings.ts';
import { formatLength } from '../../plan/lengths/length_text.ts';
import type { PrintedMat } from '../../store/build.ts';
import { planInHand } from '../../store/plan_in_hand.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { Choices } from '../kit/choices.tsx';
import { PrintDrawing } from '../kit/drawings/mat_drawings.tsx';
import { MatStep } from './mat_step.tsx';
import { saveAs } from '../files/build_transfer.ts';
import { matWords } from '../words/mat_words.ts';

/** Paper, number of tiles, and the pages themselves as a PDF or straight to the printer. */
export function MatPrint({ mat }: { mat: { paper: PaperName; tiles: number } }) {
  const { actions } = useApp();
  const document = useBuild().history.present;
  const { lengths } = document;
  const [sheets, setSheets] = useState<string[]>();
  const say = matWords;
  const { paper, tiles } = mat;
  const change = (name: string, part: PrintedMat) =>
    actions.edit(name, (document) => ({ ...document, printed: { ...document.printed, ...part } }));
  const { length } = planInHand(document).blank;
  const needed = tilesForBlank(length, paper);
  const shown = formatLength(length, lengths, { mmDecimals: 0 });

  return (
    <MatStep title={say.steps.print.title} says={say.steps.print.says} drawing={<PrintDrawing />}>
      <div className="mat-print">
        <Choices
          legend={say.paper}
          value={paper}
          choices={[
            { value: 'A4', label: say.papers.A4 },
            { value: 'Letter', label: say.papers.Letter },
          ]}
          onValue={(value) => change(say.changes.paper, { paper: value })}
        />
        <TileCount tiles={tiles} onTiles={(count) => change(say.changes.tiles, { tiles: count })} />
        <p className="hint">
          {length <= 0
            ? say.tilesUnknown
            : tiles * paperSizes[paper].width < length
              ? say.tilesTooFew(shown, tiles)
              : say.tilesFor(shown, needed)}{' '}
          {say.toPrint(tiles)}
        </p>
        <div className="ways">
          <button type="button" className="primary" onClick={() => void savePdf(paper, tiles)}>
            {say.savePdf}
          </button>
          <button type="button" onClick={() => void pagesAsSvg(paper, tiles).then(setSheets)}>
            {say.printNow}
          </button>
        </div>
        <p className="hint">{say.pdfSurer}</p>
      </div>
      {sheets && <PrintSheets sheets={sheets} paper={paper} onDone={() => setSheets(undefined)} />}
    </MatStep>
  );
}

/** How many pages, by one more or one fewer. */
function TileCount({ tiles, onTiles }: { tiles: number; onTiles: (count: number) => void }) {
  return (
    <div className="stepper" role="group" aria-label={matWords.tiles}>
      <button
        type="button"
        className="icon"
        aria-label={matWords.fewer}
        disabled={tiles <= 1}
        onClick={() => onTiles(tiles - 1)}
      >
        −
      </button>
      <output>{matWords.tileCount(tiles)}</output>
      <button
        type="button"
        className="icon"
        aria-label={matWords.more}
        disabled={tiles >= maximumTiles}
        onClick={() => onTiles(tiles + 1)}
      >
        +
      </button>
    </div>
  );
}

async function savePdf(paper: PaperName, tiles: number): Promise<void> {
  const [{ matPages }, { pagesPdf }] = await Promise.all([
    import('../../mat/mat_pages.ts'),
    import('../../mat/mat_pdf.ts'),
  ]);
  const pdf = pagesPdf(matWords.pdfTitle(tiles, paper), matPages(paper, tiles));
  saveAs(new Blob([pdf], { type: 'application/pdf' }), matWords.pdfName(tiles, paper));
}

async function pagesAsSvg(paper: PaperName, tiles: number): Promise<string[]> {
  const [{ matPages }, { pageSvg }] = await Promise.all([
    import('../../mat/mat_pages.ts'),
    import('../../mat/mat_svg.ts'),
  ]);
  return matPages(paper, tiles).map(pageSvg);
}

/** The pages, in place of the app while the browser prints them: each of its paper's size, without margins. */
function PrintSheets({ sheets, paper, onDone }: { sheets: string[]; paper: PaperName; onDone: () => void }) {
  useEffect(() => {
    window.addEventListener('afterprint', onDone, { once: true });
    window.print();
    return () => window.removeEventListener('afterprint', onDone);
  }, [onDone]);
  return createPortal(
    <div className="sheets" aria-hidden="true">
      {sheets.map((sheet) => (
        // our own drawing of the page, no one else's text
        <div key={sheet} className={`sheet sheet-${paper}`} dangerouslySetInnerHTML={{ __html: sheet }} />
      ))}
    </div>,
    document.body,
  );
}
