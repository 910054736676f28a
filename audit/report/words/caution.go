package words

// Cautions returns what every person at an engine is told, each a sentence of
// its own, the most dangerous first. They are common practice, no source; the
// README, the blank sheet and the documents say the same.
func Cautions() []string {
	return []string{
		"Turn by hand only, never with the starter while a stop is fitted.",
		"Take all plugs or injectors out.",
		"Disconnect the battery; earth a magneto.",
		"Shut fuel, gas and air start, and put the engine out of gear.",
		"Fit the stop with the piston well down and feel for the contact.",
		"On a four-stroke one of the two contacts falls at overlap, where both valves are open: make sure that stop and piston clear them.",
		"A heavy flywheel cannot be felt against a stop: bar it over.",
		"If the maker forbids turning backward, do not.",
		"Take the stop out before you pass TDC.",
		"The maker's data, local rules and licensed practice come first.",
	}
}
