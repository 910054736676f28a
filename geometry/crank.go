package geometry

// Crank is a slider-crank. Stroke is twice the crank radius; Offset is the
// lateral offset of the pin's line from the crank axis, positive to the
// crankpin side, the side to which the crankpin moves after top dead centre:
// bore offset (positive to the crankpin side) less pin offset (positive to the
// thrust side).
type Crank struct{ Stroke, Rod, Offset Length }
