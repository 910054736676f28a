package wheel

import (
	"fmt"
	"math"

	"markaudit/geometry"
)

const (
	clearly = 4.0  // times as far off must the other sense be; method, section 1
	astray  = 20.0 // degrees: no readout follows its reference so loosely; common practice, no source
	nothing = 1e-6 // degrees below which a deviation is one of arithmetic
)

// sense finds whether the readings grow with the reference or against it: in
// the right sense their difference, in the wrong one their sum goes round.
func sense(points []point, mountings int) (geometry.Sense, error) {
	up, down := spread(points, mountings, geometry.CountsUp), spread(points, mountings, geometry.CountsDown)
	right, wrong, counts := up, down, geometry.CountsUp
	if down < up {
		right, wrong, counts = down, up, geometry.CountsDown
	}
	switch {
	case right > astray:
		return 0, refuse(fmt.Sprintf("the readings do not follow the reference: they stray from it by %.0f° counting the same way, by %.0f° counting the other way", up, down),
			"does each column hold what its name says?")
	case wrong < clearly*math.Max(right, nothing):
		return 0, refuse("whether the readout counts with the reference or against it cannot be told: the stations fit both",
			"add stations a quarter of a turn away from these")
	}
	return counts, nil
}

// spread is the root mean square deviation of the readings from the reference,
// in one sense of counting, within each mounting.
func spread(points []point, mountings int, s geometry.Sense) float64 {
	var sum float64
	for m, mean := range means(points, mountings, s) {
		for _, p := range points {
			if p.mounting == m {
				d := wrap(p.difference(s).mean - mean)
				sum += d * d
			}
		}
	}
	return math.Sqrt(sum / float64(len(points)))
}

// difference is what the reading has over the reference, in one sense of
// counting.
func (p point) difference(s geometry.Sense) moments {
	if s == geometry.CountsUp {
		return p.up
	}
	return p.down
}

// means are the circular means of the differences, by mounting.
func means(points []point, mountings int, s geometry.Sense) []float64 {
	out := make([]float64, mountings)
	byMounting := make([][]geometry.Angle, mountings)
	for _, p := range points {
		byMounting[p.mounting] = append(byMounting[p.mounting], geometry.Angle(p.difference(s).mean))
	}
	for m, all := range byMounting {
		mean, _ := geometry.CircularMean(all)
		out[m] = mean.Degrees()
	}
	return out
}

// centre takes the mean of each mounting off: where a readout has its zero is
// no error of it.
func centre(points []point, mountings int, s geometry.Sense) {
	mean := means(points, mountings, s)
	for i, p := range points {
		d := p.difference(s)
		points[i].y, points[i].pure = wrap(d.mean-mean[p.mounting]), d.squares
	}
}
