package geometry

import (
	"math"
	"strconv"
	"strings"
)

// Limit says how far a value may be off. With K zero it is a limit that is
// never passed (rectangular distribution); otherwise Half is an expanded
// uncertainty from a certificate with coverage factor K (normal distribution).
// The zero Limit says nothing was stated.
type Limit[T Angle | Length] struct {
	Half T
	K    float64
}

// Standard returns the standard uncertainty that the limit stands for, in the
// unit of T: Half/√3 for limits (JCGM 100, 4.3.7), Half/K for a certificate
// (JCGM 100, 4.3.3).
func (l Limit[T]) Standard() T {
	if l.K > 0 {
		return T(float64(l.Half) / l.K)
	}
	return T(float64(l.Half) / math.Sqrt(3))
}

func coverage(k float64) string { return "(k=" + strconv.FormatFloat(k, 'f', -1, 64) + ")" }

// readCoverage reads "(k=2)". A factor of a certificate lies between 1 and 4;
// the bounds here only keep a slip of the pen from a division by nothing.
func readCoverage(text string) (float64, error) {
	name, factor, _ := strings.Cut(strings.Trim(text, "()"), "=")
	if strings.TrimSpace(name) != "k" {
		return 0, refuse(text, "expected a coverage factor such as (k=2)", "")
	}
	k, err := ParseNumber(factor)
	if err != nil {
		return 0, err
	}
	if k < 0.001 || k > 1000 {
		return 0, refuse(text, "expected a coverage factor above zero, such as (k=2)", "")
	}
	return k, nil
}

func refuseLimit(text string) *Refusal {
	return refuse(text, "expected a limit above zero, without a sign", "write ± before the limit only")
}
