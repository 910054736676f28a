package geometry_test

import (
	"fmt"

	"markaudit/geometry"
)

func ExampleParseAngle() {
	a, letters, _ := geometry.ParseAngle("12°30' BTDC")
	fmt.Println(a, letters)
	_, _, err := geometry.ParseAngle("40 BBDC")
	fmt.Println(err)
	// Output:
	// -12.5° BTDC
	// found 40 BBDC, an angle counted from bottom dead centre
	//   hint: count from TDC: 40 BBDC is 140 ATDC
}

func ExampleAngle_Crank() {
	fmt.Println(geometry.Angle(-9.07).Crank(2), "/", geometry.Angle(240.333).Crank(2))
	// Output: 9.07 BTDC / 240.33 ATDC
}

func ExampleLength_Format() {
	fmt.Printf("%.2f, %v\n", geometry.Length(1.2823), geometry.Length(158))
	// Output: 1.28 mm, 158 mm
}

func ExampleParseLengthQuantity() {
	q, _ := geometry.ParseLengthQuantity("6 1/4 ± 1/64 in")
	fmt.Println(q, q.Unit)
	// Output: 158.75 mm ± 0.396875 mm in
}

func ExampleParsePinOffset() {
	o, _ := geometry.ParsePinOffset("-0.8 mm")
	fmt.Println(o.PinText())
	// Output: 0.8 mm to crankpin side
}

func ExampleCrank_MidCorrection() {
	crank := geometry.Crank{Stroke: 90, Rod: 144, Offset: 12}
	beta, _ := crank.MidCorrection(30)
	fmt.Printf("the middle lies %.3f after the piston's top, and that %.3f after the throw's\n", beta, crank.ThrowToTDC())
	// Output: the middle lies 0.157° after the piston's top, and that 3.640° after the throw's
}

func ExampleCrank_DropPerDegree() {
	crank := geometry.Crank{Stroke: 92, Rod: 152}
	rock := 0.02 // mm between the two contacts
	fmt.Printf("%.3f\n", geometry.Angle(rock/(2*crank.DropPerDegree(15).Millimetres())))
	// Output: 0.037°
}

func ExampleRim_Arc() {
	rim := geometry.Rim{Diameter: 158}
	fmt.Printf("%.2f along the rim, %.2f between divider points\n", rim.Arc(0.93), rim.Chord(0.93))
	// Output: 1.28 mm along the rim, 1.28 mm between divider points
}
