package qualify_test

import (
	"fmt"
	"strings"

	"markaudit/audit/qualify"
)

// Three setups, two pairs of either stop in each, read to 0.05 degrees. The new
// stop puts TDC where the trusted one does; six pairs of each are too few to show
// that it also repeats as well.
func ExampleRun() {
	var file strings.Builder
	fmt.Fprintln(&file, "tool,setup,trial,approach,reading")
	for _, row := range []string{
		"reference,1,1,338.00,22.10", "new,1,1,337.20,22.95", "reference,1,2,338.05,22.05", "new,1,2,337.25,22.90",
		"reference,2,1,41.35,85.50", "new,2,1,40.60,86.30", "reference,2,2,41.30,85.45", "new,2,2,40.55,86.30",
		"reference,3,1,203.65,247.70", "new,3,1,202.85,248.50", "reference,3,2,203.70,247.75", "new,3,2,202.90,248.55",
	} {
		f := strings.Split(row, ",")
		fmt.Fprintf(&file, "%s,%s,%s,forward,%s\n", f[0], f[1], f[2], f[3])
		fmt.Fprintf(&file, "%s,%s,%s,backward,%s\n", f[0], f[1], f[2], f[4])
	}
	study, _, err := qualify.ReadTrials("stops.csv", []byte(file.String()))
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := qualify.Run(study, qualify.Options{AllowedBias: 0.2, Step: 0.05})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("bias %.3f, between %.3f and %.3f\n", r.Bias.Value.Degrees(), r.Bias.Low.Degrees(), r.Bias.High.Degrees())
	fmt.Println(r.Verdict, r.Reasons)
	// Output:
	// bias 0.021, between -0.027 and 0.069
	// not proven [scatter_not_shown]
}
