package lines

import (
	"fmt"
	"math"

	"markaudit/audit/inputerror"
	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/geometry"
)

// Thresholds of the sense of counting. Common practice, no source.
const (
	mirrorRMS = 5.0 // degrees: a sense that puts the lines off by less is not ruled out
	decisive  = 4.0 // how much better one belief must fit than another
)

// contradicted refuses a sheet whose marks fit the mirrored sense of counting
// decisively better. An observed quarter turn settles the sense instead.
func contradicted(s sheet.Sheet, top tdc.Found, all []Line) inputerror.List {
	if s.Readout.QuarterTurn != nil {
		return nil
	}
	declared, mirrored := Senses(s, top, all)
	off, other := RMS(declared), RMS(mirrored)
	if !Worse(off, other) {
		return nil
	}
	return inputerror.List{{
		Path: "readout.counts", Text: fmt.Sprintf(
			"the marks contradict it: as declared they would be off by %.1f° on average, counted the other way round by %.1f°", off, other),
		Hint: "one of these is so: readout.counts is not the way it counts, forward and backward are swapped, or lines stand under wrong names or letters. " + sheet.FindTheSide + " and write what the readout shows before and after it as readout.quarter_turn: [before, after]",
	}}
}

// Senses returns the offsets of the lines that were read, as declared and as
// they would be if the readout counted the other way round. Then the middle is
// the same where the contacts' labels are swapped too; where they are not, it
// lies opposite and the stop blocks more than half, which only passes with
// deep_stop.
func Senses(s sheet.Sheet, top tdc.Found, all []Line) (declared, mirrored []geometry.Angle) {
	var across []geometry.Angle
	for _, l := range all {
		if l.Read() {
			m := l.mirrored(s, top)
			declared = append(declared, stats.MeanAngle(l.Offsets()).Wrap())
			mirrored, across = append(mirrored, m), append(across, (m+180).Wrap())
		}
	}
	if s.Limits.DeepStop && RMS(across) < RMS(mirrored) {
		return declared, across
	}
	return declared, mirrored
}

// mirrored is the offset of a line if the readout counted the other way round
// from the same middle.
func (l Line) mirrored(s sheet.Sheet, top tdc.Found) geometry.Angle {
	offsets := make([]geometry.Angle, len(l.Seen))
	for i, seen := range l.Seen {
		offsets[i] = -geometry.Angle(s.Readout.Counts)*(seen.Reading-top.At(seen.At).Middle) - (l.At + seen.Later)
	}
	return stats.MeanAngle(geometry.Unwrap(offsets, offsets[0])).Wrap()
}

// Worse reports whether one belief puts the lines off by so many degrees, and by
// so much more than the other, that it can be ruled out.
func Worse(one, other float64) bool {
	return one > mirrorRMS && one > decisive*other+geometry.Tie.Degrees()
}

// RMS is the root mean square in degrees, zero of nothing.
func RMS(angles []geometry.Angle) float64 {
	var sum float64
	for _, x := range angles {
		sum += stats.Square(x.Degrees())
	}
	return math.Sqrt(sum / math.Max(1, float64(len(angles))))
}

// Apart is the range of offsets, which a shift that they share leaves alone.
func Apart(offsets []geometry.Angle) geometry.Angle {
	lo, hi := stats.Extremes(geometry.Unwrap(offsets, offsets[0]))
	return hi - lo
}
