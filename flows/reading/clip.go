package reading

import "strings"

func Clip(s string, n int) string {
	for i := range s {
		if n == 0 {
			return s[:i]
		}
		n--
	}
	return s
}

func Runes(s string) int { return strings.Count(s, "") - 1 }
