package geometry

// Rim is a circle on which lines are scribed.
type Rim struct{ Diameter Length }
