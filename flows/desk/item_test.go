package desk

import (
	"strings"
	"testing"

	"duskdawn/flows"
)

// What was asked for stands first where not all that was said has room on a card, and in its place where it has.
func TestWhatIsAskedForFirst(t *testing.T) {
	for size, want := range map[int]int32{100: 1, 700: 3} {
		var item []*flows.Escalation
		for n := range int32(4) {
			item = append(item, &flows.Escalation{N: n + 1, Quote: strings.Repeat("q", size)})
		}
		got := asked(item, item[2])
		if len(got) != 4 || got[0].N != want {
			t.Errorf("%d bytes each: %d of %d first", size, got[0].N, len(got))
		}
	}
}
