package simulate

import (
	"fmt"
	"math/rand/v2"
	"strconv"

	"markaudit/geometry"
)

// Class is a class of people who read the same marks again and again. Deviations
// are standard deviations in crank degrees.
type Class struct {
	People, Marks, Repeats int
	Person                 float64 // of each person's own
	Interaction            float64 // of each person's own at each mark
	Mark                   float64 // of the marks
	Scatter                float64 // of one value
	Missing                float64 // share of the values that nobody wrote down
}

// Value is what one person found at one mark. Trial counts from one.
type Value struct {
	By, Mark string
	Value    geometry.Angle
	Trial    int
}

// Draw has the class read everything once.
func (c Class) Draw(rng *rand.Rand) []Value {
	var out []Value
	marks := make([]float64, c.Marks)
	for m := range marks {
		marks[m] = c.Mark * rng.NormFloat64()
	}
	for p := range c.People {
		person := c.Person * rng.NormFloat64()
		for m := range c.Marks {
			both := c.Interaction * rng.NormFloat64()
			for k := range c.Repeats {
				v := person + marks[m] + both + c.Scatter*rng.NormFloat64()
				if rng.Float64() >= c.Missing {
					out = append(out, Value{By: "p" + strconv.Itoa(p), Mark: "m" + strconv.Itoa(m), Value: geometry.Angle(v), Trial: k + 1})
				}
			}
		}
	}
	return out
}

// Hands is a class of which some people are known to scatter more, or to sit off, than
// the rest. Values are in degrees.
type Hands struct {
	People, Marks, Rounds int
	SD                    float64   // of a value of a good hand
	Between               float64   // standard deviation of people
	Scatters              []float64 // times SD, of the first people
	Off                   []float64 // of the first people
}

// Name is what a person of such a class is called, counted from zero.
func (h Hands) Name(i int) string { return fmt.Sprintf("p%02d", i) }

// Draw has the class read everything once, mark by mark and round by round.
func (h Hands) Draw(rng *rand.Rand) (out []Value) {
	marks := make([]float64, h.Marks)
	for m := range marks {
		marks[m] = 0.5 * rng.NormFloat64()
	}
	for p := range h.People {
		sd, off := h.SD, h.Between*rng.NormFloat64()
		if p < len(h.Scatters) {
			sd *= h.Scatters[p]
		}
		if p < len(h.Off) {
			off += h.Off[p]
		}
		for m, at := range marks {
			for round := range h.Rounds {
				out = append(out, Value{
					By: h.Name(p), Mark: "m" + strconv.Itoa(m), Trial: round + 1,
					Value: geometry.Angle(at + off + sd*rng.NormFloat64()),
				})
			}
		}
	}
	return out
}
