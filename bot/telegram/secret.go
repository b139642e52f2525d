package telegram

import (
	"fmt"
	"log/slog"
)

// Secret is a string that no format verb, log handler or encoder prints.
type Secret string

const hidden = "[secret]"

func (Secret) String() string               { return hidden }
func (Secret) GoString() string             { return hidden }
func (Secret) Format(f fmt.State, _ rune)   { _, _ = f.Write([]byte(hidden)) }
func (Secret) MarshalText() ([]byte, error) { return []byte(hidden), nil }
func (Secret) MarshalJSON() ([]byte, error) { return []byte(`"` + hidden + `"`), nil }
func (Secret) LogValue() slog.Value         { return slog.StringValue(hidden) }
