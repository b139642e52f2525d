package pacing

import (
	"testing"

	"duskdawn/flows/reading"
)

// What has a row of its own raises no lesser one beside it: one card and one
// caution for one thing.
func TestTheLesserRowIsSilentBesideItsOwn(t *testing.T) {
	for id, x := range map[string]struct {
		lesser string
		said   reading.Features
	}{
		"tooth.loose": {"tooth.gap", reading.FGap | reading.FTooth},
		"crisis":      {"lowmood", reading.FMood | reading.FSelfHarm},
		"ulcer":       {"mouth.sore", reading.FSore | reading.FUlcer},
	} {
		_, rs := heard(t, x.said)
		if len(rs) != 1 || rs[0].ID != id {
			t.Errorf("%s beside %s: %+v", x.lesser, id, rs)
		}
	}
}
