/**
 * Labels as a PDF: a page of the stock's exact size for each, or sheets of 24. In: texts and two fonts. Out: bytes.
 * Nothing is ever cut off: long texts wrap, and when they still do not fit, all letters shrink together. Lengths are
 * in points.
 */
import PDFDocument from "pdfkit";
import { encode } from "uqr";
import type { LabelStock } from "../wire/bag.ts";
import { quietModules } from "./code.ts";
import type { LabelContent } from "./content.ts";
import { lettersOf, printable, type HasLetter } from "./letters.ts";
import { broken, linesOf, measured, seen, type Line, type Measured } from "./lines.ts";

const pointsPerInch = 72;
const mm = (length: number): number => (length / 25.4) * pointsPerInch;
/** Common label printers have 203 dots to the inch; modules of whole dots stay sharp. */
const dot = pointsPerInch / 203;
const inDots = (length: number): number => Math.round(length / dot) * dot;

type Layout = {
  readonly width: number;
  readonly height: number;
  readonly margin: number;
  /** Of a code's module, in dots; fewer where a long address would take more than half of the label. */
  readonly moduleDots: number;
  /** Sizes of letters between which the text is fitted. */
  readonly largest: number;
  /** The text runs beside the code down to the foot; otherwise only the title does. */
  readonly beside: boolean;
};

const small: Layout = {
  width: mm(70),
  height: mm(37),
  margin: mm(2.5),
  moduleDots: 5,
  largest: 8,
  beside: true,
};

const layouts: Record<LabelStock, Layout> = {
  "62x29": {
    width: mm(62),
    height: mm(29),
    margin: mm(1.5),
    moduleDots: 4,
    largest: 8,
    beside: true,
  },
  "70x37": small,
  "70x37-sheet": small,
  "4x6": {
    width: 4 * pointsPerInch,
    height: 6 * pointsPerInch,
    margin: mm(5),
    moduleDots: 12,
    largest: 13,
    beside: false,
  },
};

/** A4 (ISO 216: 210 mm x 297 mm): three labels beside each other and eight below, the half millimetre left over at top and foot. */
const sheet = { width: mm(210), height: mm(297), columns: 3, rows: 8, top: mm(0.5) } as const;
const labelsOnSheet = sheet.columns * sheet.rows;

export type Fonts = { readonly regular: Uint8Array; readonly bold: Uint8Array };
type Block = Measured & { readonly bold: boolean; readonly scale: number };
type Box = {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
};

const titleScales = [1.5, 1.2, 1] as const;
/** Letters below this are hard to read at arm's length: our choice. */
const readableSize = 5.5;
const sizeStep = 0.1;
const leastSize = 1;

export type LabelsAsked = {
  readonly contents: readonly LabelContent[];
  readonly stock: LabelStock;
  /** Labels that were already taken off the first sheet. */
  readonly skip: number;
};

/** `madeAt`: the date that the file carries. */
export function drawLabels(
  { contents, stock, skip }: LabelsAsked,
  fonts: Fonts,
  madeAt: Date,
): Promise<Uint8Array> {
  const layout = layouts[stock];
  const onSheet = stock === "70x37-sheet";
  const page = onSheet ? sheet : layout;
  const doc = new PDFDocument({
    size: [page.width, page.height],
    margin: 0,
    autoFirstPage: false,
    info: {
      Title: `Bag ${contents.map(({ code }) => code).join(", ")}`,
      Creator: "Stillweight",
      CreationDate: madeAt,
    },
  });
  const bytes = collected(doc);
  const inRegular = lettersOf(fonts.regular);
  const inBold = lettersOf(fonts.bold);
  const has: HasLetter = (codePoint) => inRegular(codePoint) && inBold(codePoint);
  doc.registerFont("regular", Buffer.from(fonts.regular));
  doc.registerFont("bold", Buffer.from(fonts.bold));
  for (const [index, content] of contents.entries()) {
    const place = onSheet ? (skip + index) % labelsOnSheet : 0;
    if (index === 0 || place === 0) doc.addPage();
    doc.save();
    if (onSheet) {
      const row = Math.floor(place / sheet.columns);
      doc.translate(
        inDots((place % sheet.columns) * layout.width),
        inDots(sheet.top + row * layout.height),
      );
    }
    drawOne(doc, withLetters(content, has), layout);
    doc.restore();
  }
  doc.end();
  return bytes;
}

/** A name may be typed in any script; what the fonts lack would be printed as boxes. */
function withLetters(content: LabelContent, has: HasLetter): LabelContent {
  let lacks = false;
  const only = (text: string): string => {
    const found = printable(text, has);
    lacks ||= found.lacks;
    return found.text;
  };
  const title = only(content.title);
  const lines = content.lines.map(only);
  const cautions = content.cautions.map(only);
  const footer = lacks ? `${content.footer} ${content.lettersMissing}` : content.footer;
  return { ...content, title, lines, cautions, footer };
}

function drawOne(doc: PDFKit.PDFDocument, content: LabelContent, layout: Layout): void {
  const { title, marks } = content;
  const codeBox = drawCode(doc, content, layout);
  const { margin, width, height, beside } = layout;
  const block = (text: string, bold: boolean, scale: number): Block => ({
    ...measured(text, (piece) => setFont(doc, { bold, scale: 1 }, 1).widthOfString(piece)),
    bold,
    scale,
  });
  const name = block(title, true, 1);
  const marked = marks.map((text) => block(text, true, 1.2));
  const headWith = (scale: number): Block[] => [{ ...name, scale }, ...marked];
  const body: Block[] = [
    ...content.lines.map((text) => block(text, false, 1)),
    ...content.cautions.map((text) => block(text, true, 0.9)),
    block(content.footer, false, 0.9),
  ];
  const column = { x: margin, y: margin, width: codeBox.x - margin };
  if (beside) {
    const box = { ...column, height: height - 2 * margin };
    // A long name gives way before the rest becomes too small to read.
    const scale = titleScales.find(
      (one) =>
        heightOf(doc, [...headWith(one), ...body], readableSize, box.width) <= box.height &&
        widestWord(doc, headWith(one), layout.largest) <= box.width,
    );
    fitted(doc, [...headWith(scale ?? 1), ...body], box, layout);
  } else {
    const below = codeBox.y + codeBox.height;
    fitted(doc, headWith(titleScales[0]), { ...column, height: below - margin }, layout);
    const rest = {
      x: margin,
      y: below,
      width: width - 2 * margin,
      height: height - margin - below,
    };
    fitted(doc, body, rest, layout);
  }
}

function collected(doc: PDFKit.PDFDocument): Promise<Uint8Array> {
  const chunks: Uint8Array[] = [];
  return new Promise((resolve, reject) => {
    doc.on("data", (chunk: Uint8Array) => chunks.push(chunk));
    doc.on("end", () => resolve(Buffer.concat(chunks)));
    doc.on("error", reject);
  });
}

/**
 * Left white at each edge of what is dark in a code. A printer's program may paint every dot that a shape touches
 * (Adobe, PDF Reference 1.7, 6.5.4): an edge just on a dot would make each bar a dot wider. Our choice, half of what a
 * dot may be off to either side.
 */
const spared = dot / 4;

/**
 * The code in the upper right corner with its text below, or the text alone where no code is wanted. Gives the box
 * that nothing else may enter.
 */
function drawCode(doc: PDFKit.PDFDocument, { code, scanned }: LabelContent, layout: Layout): Box {
  if (scanned === null) return drawNumber(doc, code, layout);
  const { data, size } = encode(scanned, { ecc: "M", border: 0 });
  const { margin, width } = layout;
  const module = moduleOf(layout, size);
  const side = size * module;
  const quiet = quietModules * module;
  // The margin of the stock is white already and counts as part of the white around the code.
  const inset = Math.max(margin, quiet);
  const left = Math.floor((width - inset - side) / dot) * dot;
  const top = inDots(inset);
  for (const { row, column, down, across } of darkIn(data)) {
    const [x, y] = [left + column * module + spared, top + row * module + spared];
    doc.rect(x, y, across * module - 2 * spared, down * module - 2 * spared);
  }
  doc.fill("black");
  const box = { x: left - quiet, y: 0, width: width - left + quiet, height: top + side + quiet };
  doc.font("bold").fontSize(layout.largest * 1.2);
  const share = Math.min(1, (side + quiet) / doc.widthOfString(code));
  doc.fontSize(layout.largest * 1.2 * share);
  const textTop = top + side + quiet / 2;
  const textLeft = left - quiet / 2;
  doc.text(code, textLeft, textTop, { width: side + quiet, align: "center", lineBreak: false });
  return { ...box, height: Math.max(box.height, textTop + doc.currentLineHeight(true)) };
}

type Dark = {
  readonly row: number;
  readonly column: number;
  readonly down: number;
  readonly across: number;
};

/**
 * What is dark, as oblongs: lines beside and below each other, and squares of four, which close what these leave open
 * between them once each is drawn a little smaller than it is.
 */
function darkIn(data: readonly (readonly boolean[])[]): readonly Dark[] {
  const is = (row: number, column: number): boolean => data[row]?.[column] === true;
  const lengthFrom = (row: number, column: number, down: number, across: number): number =>
    is(row, column) ? 1 + lengthFrom(row + down, column + across, down, across) : 0;
  return data.flatMap((cells, row) =>
    cells.flatMap((isDark, column): Dark[] => {
      if (!isDark) return [];
      const square =
        is(row, column + 1) && is(row + 1, column) && is(row + 1, column + 1)
          ? [{ row, column, down: 2, across: 2 }]
          : [];
      const beside = is(row, column - 1)
        ? []
        : [{ row, column, down: 1, across: lengthFrom(row, column, 0, 1) }];
      const below = is(row - 1, column)
        ? []
        : [{ row, column, down: lengthFrom(row, column, 1, 0), across: 1 }];
      return [...square, ...beside, ...below];
    }),
  );
}

/** At least three dots (0.375 mm), which a phone still reads: our choice. */
const leastDots = 3;
function moduleOf({ width, height, moduleDots }: Layout, size: number): number {
  const room = Math.min(width / 2, height * 0.85) / (size + 2 * quietModules);
  return Math.max(leastDots, Math.min(moduleDots, Math.floor(room / dot))) * dot;
}

/** Large enough to be read from a shelf. */
function drawNumber(doc: PDFKit.PDFDocument, code: string, layout: Layout): Box {
  const { margin, width, largest } = layout;
  doc.font("bold").fontSize(largest * 2);
  const textWidth = doc.widthOfString(code);
  doc.text(code, width - margin - textWidth, margin, { lineBreak: false });
  const boxWidth = textWidth + 2 * margin;
  const height = margin + doc.currentLineHeight(true);
  return { x: width - boxWidth, y: 0, width: boxWidth, height };
}

type Style = Pick<Block, "bold" | "scale">;
const setFont = (doc: PDFKit.PDFDocument, { bold, scale }: Style, size: number) =>
  doc.font(bold ? "bold" : "regular").fontSize(size * scale);

/** Of a block that was measured in letters of one point. */
const inPoints = (width: number, { scale }: Block, size: number): number => width / (size * scale);

const heightOf = (
  doc: PDFKit.PDFDocument,
  blocks: readonly Block[],
  size: number,
  width: number,
): number =>
  blocks.reduce((sum, block) => {
    const lines = broken(block, inPoints(width, block, size)).length;
    return sum + lines * setFont(doc, block, size).currentLineHeight(true);
  }, 0);

const widestWord = (doc: PDFKit.PDFDocument, blocks: readonly Block[], size: number): number =>
  Math.max(
    0,
    ...blocks.flatMap((block) =>
      seen(block.text)
        .split(" ")
        .map((word) => setFont(doc, block, size).widthOfString(word)),
    ),
  );

/** Words are shrunk rather than broken, down to half of the usual letters; one that is longer still is broken. */
function largestUnbroken(
  doc: PDFKit.PDFDocument,
  blocks: readonly Block[],
  width: number,
  { largest }: Layout,
): number {
  const share = width / widestWord(doc, blocks, largest);
  if (share >= 1) return largest;
  return share >= 0.5 ? Math.floor((largest * share) / sizeStep) * sizeStep : largest;
}

/** Writes blocks below each other in the largest letters in which they all fit. */
function fitted(doc: PDFKit.PDFDocument, blocks: readonly Block[], box: Box, layout: Layout): void {
  let size = largestUnbroken(doc, blocks, box.width, layout);
  while (size > leastSize && heightOf(doc, blocks, size, box.width) > box.height) size -= sizeStep;
  let { y } = box;
  for (const block of blocks)
    for (const line of linesOf(block, inPoints(box.width, block, size))) {
      setFont(doc, block, size);
      drawLine(doc, line, { ...box, y });
      y += doc.currentLineHeight(true);
    }
}

function drawLine(doc: PDFKit.PDFDocument, { pieces, fromRight }: Line, box: Box): void {
  const widths = pieces.map((piece) => doc.widthOfString(piece));
  let x = box.x + (fromRight ? box.width - widths.reduce((sum, one) => sum + one, 0) : 0);
  for (const [index, piece] of pieces.entries()) {
    doc.text(piece, x, box.y, { lineBreak: false });
    x += widths[index] ?? 0;
  }
}
