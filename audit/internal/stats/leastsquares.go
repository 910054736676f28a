package stats

import "gonum.org/v1/gonum/mat"

// LeastSquares solves j·x = y by QR. It reports false where the columns of j do not
// tell the parameters apart.
func LeastSquares(j *mat.Dense, y []float64) ([]float64, bool) {
	var qr mat.QR
	qr.Factorize(j)
	_, n := j.Dims()
	var x mat.VecDense
	if err := qr.SolveVecTo(&x, false, mat.NewVecDense(len(y), y)); err != nil {
		return nil, false
	}
	out := make([]float64, n)
	for i := range out {
		out[i] = x.AtVec(i)
	}
	return out, true
}
