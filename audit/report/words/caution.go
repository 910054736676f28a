package words

// Cautions returns what every person at an engine is told, each a sentence of
// its own, the most dangerous first. They are common practice, no source; the
// README, the blank sheet and docs/bench.md say the same. They stand in full where
// work begins: before the first fit, on the form, and in the annex of a record.
func Cautions() []string {
	return []string{
		"Turn by hand only, never with the starter while a stop is fitted.",
		"Take all plugs or injectors out.",
		"Disconnect the battery; earth a magneto.",
		"Shut fuel, gas and air start, and put the engine out of gear.",
		"Fit the stop with the piston well down and feel for the contact.",
		"On a four-stroke one of the two contacts falls at overlap, where both valves are open: make sure that stop and piston clear them.",
		"A heavy flywheel cannot be felt against a stop: bar it over.",
		"If the maker forbids turning backward, do not: belts, chains and tensioners can jump.",
		"Turning back can loosen a crank bolt: check it afterwards.",
		"Head off: hold the liner down, and keep hands from the deck.",
		"Take the stop out before you pass TDC.",
		"At the end stop or dial comes out: look into the hole.",
		"The maker's data, local rules and licensed practice come first.",
	}
}

// Caution is the one line that stands wherever work does not begin.
const Caution = "Turn by hand only. Take the stop out before you pass TDC."
