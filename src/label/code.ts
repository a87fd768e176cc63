/** A bag's code as a picture for a page. In: what a scanner reads. Out: SVG, its white margin included. */
import { encode } from "uqr";

/** ISO/IEC 18004 asks for four modules of white around a code. */
export const quietModules = 4;

export function codePicture(code: string): string {
  const { data, size } = encode(code, { ecc: "M", border: quietModules });
  const path = data
    .flatMap((cells, row) =>
      cells.flatMap((isDark, column) => (isDark ? [`M${column} ${row}h1v1h-1z`] : [])),
    )
    .join("");
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${size} ${size}" shape-rendering="crispEdges"><rect width="${size}" height="${size}" fill="#fff"/><path d="${path}"/></svg>`;
}
