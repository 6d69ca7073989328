import { type PrintedField, printedLengths } from '../../mat/readings.ts';

const pages = (count: number): string => (count === 1 ? 'one page' : `${count} pages`);

/** What the mat step says. */
export const matWords = {
  paper: 'Paper',
  papers: { A4: 'A4', Letter: 'Letter' },
  tiles: 'Tiles',
  tileCount: (tiles: number) => (tiles === 1 ? '1 tile' : `${tiles} tiles`),
  fewer: 'One tile fewer',
  more: 'One tile more',
  tilesFor: (length: string, tiles: number) =>
    `The blank of ${length} needs ${tiles === 1 ? 'one tile' : `${tiles} tiles`}.`,
  tilesTooFew: (length: string, tiles: number) =>
    `The blank of ${length} is longer than this mat: ${tiles === 1 ? 'one tile reaches' : `${tiles} tiles reach`}.`,
  tilesUnknown: 'Put the blank’s length into the plan and the tiles are counted for you.',
  toPrint: (tiles: number) => `${pages(tiles + 1)}: ${tiles === 1 ? 'one tile' : `${tiles} tiles`} and the seat card.`,
  savePdf: 'Save the PDF',
  printNow: 'Print from here',
  pdfTitle: (tiles: number, paper: string) => `Prewrap mat, ${tiles} x ${paper}`,
  pdfName: (tiles: number, paper: string) => `prewrap-mat-${tiles}x${paper}.pdf`,
  pdfSurer: 'The PDF is the surer way: it asks the printer for its true size.',

  steps: {
    print: {
      title: 'Print at 100 %',
      says: 'Choose “actual size” or 100 %, never “fit to page”: landscape, one side, plain white paper.',
      drawing: 'A printer with a page, scale set to 100 %',
    },
    rows: {
      title: 'Measure one tile',
      says: 'On tile 1, measure with a rule along a row of squares, from the outer edge of its first to the outer edge of its last, and across both rows, from the upper row’s top edge to the lower row’s bottom edge.',
      drawing: 'A tile with a rule along one row of squares and one across both rows',
    },
    lay: {
      title: 'Lay and tape the tiles',
      says: 'Butt the tiles end to end in their order on a flat bench, paper edge to paper edge, and tape them down smooth.',
      drawing: 'Tiles end to end with tape over each joint',
    },
    span: {
      title: 'Measure the span',
      says: (from: number, to: number) =>
        `Lay the tape you mark rods with along one row, from the outer edge of tag ${from}’s black square to the outer edge of tag ${to}’s.`,
      drawing: 'A tape over the whole mat, from the first tag’s outer edge to the last one’s',
    },
    rest: {
      title: 'Lay the rod',
      says: 'Lay the blank down the white lane between the two rows of tags, tip over tile 1, rings up.',
      drawing: 'The rod along the lane between the rows of tags',
    },
    roll: {
      title: 'Say what is straight up',
      says: 'Rings are turned in line with something: say with what.',
    },
    stage: {
      title: 'Say what the photos show',
      says: 'Measure the bare blank first if you like; check the marks before the guides go on, the guides when they are taped on, and once more before the epoxy.',
    },
  },

  rowAlong: 'Along a row',
  rowAcross: 'Across both rows',
  barAlong: 'Bar along the mat',
  barAcross: 'Bar across the mat',
  oldMat: 'My mat has two check bars',
  printedHint: (field: PrintedField, metric: boolean) => {
    const { nominal } = printedLengths[field];
    return metric
      ? `Drawn ${nominal} mm long; to 0.1 mm.`
      : `Drawn ${nominal} mm (${(nominal / 25.4).toFixed(3)} in) long; a rule in millimetres reads it finer: write ${(nominal - 0.2).toFixed(1)} mm.`;
  },
  span: 'Span',
  spanHint: (about: string) => `About ${about} when the tiles touch; to 0.5 mm.`,
  spanAgain: (count: number) => `Span, read ${count === 2 ? 'a second' : 'a third'} time`,
  spanAgainHint: 'Lift the tape in between; the readings are averaged.',
  readAgain: 'Read it again',
  spanOther: 'The tape went from another tag to another',
  spanOneRow: 'Name two tags of one row, by the numbers printed beside them.',
  fromTag: 'From tag',
  toTag: 'To tag',
  notUsed: 'Not used until it is right.',
  notALength: (why: string) => `${why[0]!.toUpperCase()}${why.slice(1)}.`,
  notATag: 'Write the number printed beside the tag.',

  restFlat: 'Flat on the mat',
  restFlatHint: 'The blank lies on its grip; the tip may rest on the paper.',
  restBlocks: 'On blocks of one height',
  gripDiameter: 'Grip’s diameter',
  gripHint: 'Where it is thickest, if it lies on the mat. May be left empty.',
  gripOdd: 'A grip is between 2 and 150 mm (6 in) thick: measure it again.',
  axisHeight: 'From the paper to the blank’s middle',
  axisHint: 'The same at both blocks.',
  axisOdd: 'Blocks hold the blank between 0 and 500 mm (20 in) high: measure it again.',
  axisNeeded: 'Until the height is given, the blank is taken as lying flat.',

  seatCard: 'The seat card',
  seatCardHint:
    'Glue it to stiff card, cut it out, and hold it in the reel seat as a reel’s foot sits, arrow to the tip.',
  spineLine: 'The spine line',
  spineLineHint: 'A line drawn along the blank that the photos can see.',
  guides: 'The guides’ own common line',
  guidesHint: 'Finds the one ring that is out of line with the rest; says nothing of the reel seat.',
  belongs: 'The rings belong',
  onSpine: 'on the line',
  againstSpine: 'opposite the line',
  atAngle: (degrees: number) => `${degrees}° from the line`,

  stageMarks: 'Marks only',
  stageMarksHint: 'The blank is marked, no guides yet.',
  stageRings: 'Guides taped on',
  stageRingsHint: 'Where each ring’s centre sits, and how it is rolled.',
  stageWrapped: 'Guides wrapped',
  stageWrappedHint: 'Thread over the feet, no finish yet: the last time a guide can move.',

  changes: {
    paper: 'paper',
    tiles: 'number of tiles',
    rowAlong: 'along a row',
    rowAcross: 'across both rows',
    barAlong: 'bar along',
    barAcross: 'bar across',
    span: 'span',
    rest: 'how the rod lies',
    roll: 'what is straight up',
    stage: 'what the photos show',
  },
};
