// Package drawing draws scenes in millimetres: lines, polygons, circles and
// texts, written out as SVG or as pages of a PDF. It is the only place that knows
// the PDF library and the type. It knows nothing of engines: what a scene shows is
// made in package figure and package paper.
//
// A scene has its origin at the top left, x to the right and y down. What is
// drawn as 100 mm is 100 mm on paper printed at 100 %: the SVG says so to
// 0.001 mm, the PDF to 0.01 pt, which is 0.004 mm. The same scene gives the same
// bytes.
package drawing
