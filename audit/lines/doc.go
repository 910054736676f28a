// Package lines says where each line of a part comes up: its offset from where it
// belongs, the interval of that, and the probability that it lies within its
// tolerance, the sheet being right. It also says what several lines are off
// together, and which of them differ.
//
// It is a stage of the audit, after finding TDC. Only its types are meant for
// other programs. It gives no verdict and no order: those rest on what else could
// explain the readings, which is the matter of diagnosis.
//
// An offset is in crank degrees, above zero late: the line comes up after its
// place. Below zero it is early.
package lines
