package locales

import (
	"errors"
	"fmt"
	"sync"
	"sync/atomic"

	"duskdawn/locales/answer"
	"duskdawn/locales/danger"
)

// Nets are what hears a text beside the grammar. They are taught together.
type Nets struct {
	Dangers *danger.Net
	Answers *answer.Net
}

var builtNets = sync.OnceValues(func() (Nets, error) {
	dangers, hash, err := danger.Load()
	if err != nil {
		return Nets{}, fmt.Errorf("loading the net of dangers: %w", err)
	}
	answers, other, err := answer.Load()
	switch {
	case err != nil:
		return Nets{}, fmt.Errorf("loading the nets of answers: %w", err)
	case other != hash:
		return Nets{}, errors.New("the nets were not taught together")
	}
	return Nets{dangers, answers}, nil
})

// LoadHearing gives the words of the embedded catalogues with other nets than those that are built in, for whoever teaches them:
// those that are built in may be of another form.
func LoadHearing(nets Nets) (*Words, error) {
	w, err := built()
	if err != nil {
		return nil, err
	}
	own := *w
	own.misses, own.nets = new(atomic.Int64), nets
	return &own, nil
}

// HearingWith gives the same words with other nets, to measure them.
func (w *Words) HearingWith(nets Nets) *Words {
	other := *w
	other.nets = nets
	return &other
}
