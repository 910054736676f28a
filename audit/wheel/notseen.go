package wheel

import (
	"markaudit/audit/internal/enum"
	"markaudit/audit/sheet"

	"gonum.org/v1/gonum/mat"
)

const (
	lookAlike = 0.9 // share of an order that another one explains, from which that one is named
	mostNamed = 3   // refused orders that are told of
)

// Reason is why an order cannot be told.
type Reason uint8

// FewStations: there are no stations left for it. LooksLike: it would be taken
// for another order. HalfSeen: the stations lie where only one of its two parts
// shows. LikeReference: the mountings do not tell it from the reference's.
const (
	FewStations Reason = iota
	LooksLike
	HalfSeen
	LikeReference
)

var reasonWords = []string{"few stations", "looks like another order", "half seen", "like the reference"}

func (r Reason) String() string { return enum.Word(reasonWords, r) }

// Refused is an order that the stations cannot carry.
type Refused struct {
	Order  int
	Reason Reason
	Like   int // the order it looks like, 0 for a constant
}

// refused tells of the lowest orders that are not carried, why.
func (m model) refused(carried []int, step int) []Refused {
	var out []Refused
	next := 1
	if n := len(carried); n > 0 {
		next = carried[n-1] + step
	}
	for k := next; k <= sheet.MostOrders && len(out) < mostNamed; k += step {
		out = append(out, m.why(k, carried))
	}
	return out
}

func (m model) why(k int, carried []int) Refused {
	without := m
	without.references, without.orders = 0, append(append([]int{}, carried...), k)
	if r, n := without.factor(), without.base(); m.references > 0 && independent(r, n) && own(r, n+2*len(carried)) >= supported {
		return Refused{Order: k, Reason: LikeReference}
	}
	alone := model{points: m.points, mountings: m.mountings, orders: []int{k}}
	r := alone.factor()
	if share(r, alone.base()) >= lookAlike {
		return Refused{Order: k, Reason: LooksLike}
	}
	for _, j := range carried {
		pair := model{points: m.points, mountings: m.mountings, orders: []int{j, k}}
		if share(pair.factor(), pair.base()+2) >= lookAlike {
			return Refused{Order: k, Reason: LooksLike, Like: j}
		}
	}
	if own(r, alone.base()) < supported {
		return Refused{Order: k, Reason: HalfSeen}
	}
	return Refused{Order: k, Reason: FewStations}
}

// share is how much of the two columns from j on lies in those before them.
func share(r *mat.Dense, j int) float64 {
	a, b, d := r.At(j, j), r.At(j, j+1), r.At(j+1, j+1)
	first, second := columnNorm(r, j), columnNorm(r, j+1)
	if all := first*first + second*second; all > 0 {
		return 1 - (a*a+b*b+d*d)/all
	}
	return 1
}
