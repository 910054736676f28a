package simulate

import (
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
