package webserver

import (
	"markaudit/audit/diagnosis"
	"markaudit/audit/guide"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
)

// readNext says what is to be read before anything is decided, and gives a button for
// each of it, so that a person need not find it among all that can be read; setup is
// whether a new one is asked for. All are empty where nothing is.
func readNext(v guide.View) (steps []string, all []button, setup bool) {
	if v.Result == nil || len(v.Result.Diagnosis.Ask) == 0 {
		return nil, nil, false
	}
	for _, o := range v.Result.Diagnosis.Ask {
		switch {
		case o.Kind == diagnosis.ReadAgain && o.On == "" && len(o.Lines) > 0:
			for _, j := range o.Lines {
				name := v.Result.Lines[j].Name
				all = append(all, button{Do: "next", Text: name, Label: words.Clean(name) + " once more"})
			}
		case o.Kind == diagnosis.ReadAgain && o.On == "" && o.Mounting == len(v.Result.TDC.Mountings)-1:
			all = append(all, contactsButton(v, "stop"))
		case o.Kind == diagnosis.ClosingPair:
			all = append(all, contactsButton(v, "closing"))
		case o.Kind == diagnosis.SecondSetup:
			setup = true
		}
	}
	return words.FirstToRead(words.NewAudit(*v.Result, nil)), all, setup
}

// contactsButton finds TDC once more, the readout left alone.
func contactsButton(v guide.View, item string) button {
	switch {
	case v.Sheet.Readout.Kind == sheet.Dial && item == "stop":
		return button{Do: "next", Text: "top", Label: "The top, before the lines"}
	case v.Sheet.Readout.Kind == sheet.Dial:
		return button{Do: "next", Text: "closing", Label: "The top once more"}
	case v.Method == sheet.EqualDrop:
		return button{Do: "bumped", Text: guide.Refitted, Label: "The equal drops once more, the readout left alone"}
	case v.Method == sheet.Sweep:
		return button{Do: "bumped", Text: guide.Refitted, Label: "The sweep once more, the readout left alone"}
	case item == "closing":
		return button{Do: "next", Text: "closing", Label: "A closing pair"}
	}
	return button{Do: "next", Text: "stop", Label: "One more contact each way"}
}
