package matrix

import "testing"

// TestPlain runs the tests once more as on a machine without tiles.
func TestPlain(t *testing.T) {
	was := tiles
	defer func() { tiles = was }()
	tiles = false
	t.Run("add", TestAdd)
	t.Run("scaled", TestAddScaled)
	t.Run("nothing", TestAddNothing)
}
