package chat

import (
	"context"

	"duskdawn/bot/phone"
	"duskdawn/flows"
	"duskdawn/flows/desk"
	"duskdawn/flows/practice"
)

// Taken reports whether another patient goes by a label.
type Taken func(ctx context.Context, label string) (bool, error)

// Learn adds to what a person of the practice said what the desk cannot know by
// itself: whose a label is, whether a telephone number is possible, and whether a PIN is
// right, of which it hears no digit.
func Learn(ctx context.Context, s *flows.Said, c *desk.Chat, pr *practice.Practice, taken Taken) error {
	if provePIN(s, c, pr); s.PIN != flows.NoPIN {
		return nil
	}
	label, number := c.Given(s)
	if number != "" && !phone.Possible(number, pr.Country) {
		s.NoPhone = number
	}
	if label == "" {
		return nil
	}
	is, err := taken(ctx, label)
	if is {
		s.Taken = label
	}
	return err
}
