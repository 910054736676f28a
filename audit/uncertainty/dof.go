package uncertainty

import (
	"encoding/json"
	"math"
)

// DOF is a number of degrees of freedom: +Inf where a doubt is known exactly. In
// JSON, which has no infinity, that is null.
type DOF float64

// Known is the number of degrees of freedom of a doubt that is known exactly.
func Known() DOF { return DOF(math.Inf(1)) }

// Infinite reports whether the doubt is known exactly.
func (d DOF) Infinite() bool { return math.IsInf(float64(d), 1) }

// MarshalJSON writes null for infinity.
func (d DOF) MarshalJSON() ([]byte, error) {
	if d.Infinite() {
		return []byte("null"), nil
	}
	return json.Marshal(float64(d))
}

// UnmarshalJSON reads null as infinity.
func (d *DOF) UnmarshalJSON(data []byte) error {
	if string(data) == "null" {
		*d = Known()
		return nil
	}
	return json.Unmarshal(data, (*float64)(d))
}
