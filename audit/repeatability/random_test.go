package repeatability

import (
	"cmp"
	"math/rand/v2"
	"os"
	"strconv"
)

// newRandom gives the simulations their numbers: the same every time, or those
// of MARKAUDIT_SEED.
func newRandom(stream uint64) *rand.Rand {
	seed, err := strconv.ParseUint(cmp.Or(os.Getenv("MARKAUDIT_SEED"), "20261125"), 10, 64)
	if err != nil {
		panic("MARKAUDIT_SEED: " + err.Error())
	}
	return rand.New(rand.NewPCG(seed, stream))
}
