// Package picture draws what is known of a patient's course, of a practice and
// of a trial: position, snoring, pain, wear; who stands where on the path; a
// chart of relapse; lines of a cohort.
//
// Each drawing lays out a Sheet, a list of strokes, areas and texts, which is
// written as SVG (for the page, and as something to keep) or as PNG (for a
// chat). Nothing is told by colour alone: each kind of mark has a shape of its
// own, and the colours differ in lightness. A width is in points; at 390 of them
// every text is as large as a telephone's.
//
// The raster and its font come from go-analyze/charts. Its ready charts have no
// place for two axes of one position, nights without an answer and rests, so
// that only its painter is used.
package picture
