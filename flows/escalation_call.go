package flows

// callPauses are the minutes between outside calls that nobody answers to: they
// grow, so that whoever is on the way can do something, to four hours at the most.
var callPauses = [...]int{15, 30, 60, 120, 240}

// CallPause is how many minutes pass after that many outside calls of one
// trouble, before the next; 0 before the first.
func CallPause(made int) int {
	if made <= 0 {
		return 0
	}
	return callPauses[min(made, len(callPauses))-1]
}
