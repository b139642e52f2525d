package flows

import "strings"

func clip(s string, n int) string {
	for i := range s {
		if n == 0 {
			return s[:i]
		}
		n--
	}
	return s
}

func runes(s string) int { return strings.Count(s, "") - 1 }
