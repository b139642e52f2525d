package setup

import (
	"fmt"
	"io/fs"
	"net"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"duskdawn/flows/message"
)

// Settings are what the process itself needs to know.
type Settings struct {
	Token    Secret // of the bot; empty where none is set
	API      string // base address of the Bot API, without a slash at the end
	Store    Secret // sqlite:PATH, redis://..., memory: (an address may hold a password)
	Listen   string // health, metrics, webhook; empty for none
	Practice string // path of the practice's file; empty for none
	Webhook  string // public address that the platform is to call; empty for polling
	Hook     Secret // what the platform must send along with each call
	Call     Secret // the outside call, as its file has it; empty for none
}

// Names are the variables that are read. Those marked secret may also be
// named with _FILE behind, to be read from a file.
var names = [...]struct {
	name   string
	secret bool
	usual  string
}{
	{"DUSKDAWN_TOKEN", true, ""},
	{"DUSKDAWN_API", false, "https://api.telegram.org"},
	{"DUSKDAWN_STORE", true, "sqlite:duskdawn.db"},
	{"DUSKDAWN_LISTEN", false, ""},
	{"DUSKDAWN_PRACTICE", false, ""},
	{"DUSKDAWN_WEBHOOK", false, ""},
	{"DUSKDAWN_WEBHOOK_SECRET", true, ""},
	{"DUSKDAWN_CALL", true, ""},
	{"DUSKDAWN_NO_SKIP", false, ""}, // the tests' own
	{"DUSKDAWN_SIEGE", false, ""},   // likewise
}

const prefix = "DUSKDAWN_"

// Read takes the settings out of an environment ("NAME=value" lines, as
// os.Environ gives them). Unknown DUSKDAWN_ names are faults: a misspelt
// setting must not pass for its default. readFile gives a file's text and mode.
func Read(environ []string, readFile func(string) ([]byte, fs.FileMode, error)) (Settings, []Fault) {
	var faults []Fault
	given := map[string]string{}
	for _, line := range environ {
		name, value, _ := strings.Cut(line, "=")
		if !strings.HasPrefix(name, prefix) {
			continue
		}
		base, fromFile := strings.CutSuffix(name, "_FILE")
		i := slices.IndexFunc(names[:], func(n struct {
			name   string
			secret bool
			usual  string
		}) bool {
			return n.name == base
		})
		switch {
		case i < 0 || fromFile && !names[i].secret:
			faults = append(faults, fault(name, 0, "setup.bad.name"))
			continue
		case fromFile:
			raw, mode, err := readFile(value)
			if err != nil {
				faults = append(faults, fault(name, 0, "setup.bad.file", message.ArgS("path", value)))
				continue
			}
			faults = append(faults, Exposed(name, value, mode)...)
			value = string(raw)
		}
		if _, twice := given[base]; twice {
			faults = append(faults, fault(name, 0, "setup.bad.both", message.ArgS("name", base)))
			continue
		}
		given[base] = strings.TrimSpace(value)
	}
	get := func(name string) string {
		for _, n := range names {
			if n.name == name && given[name] == "" {
				return n.usual
			}
		}
		return given[name]
	}
	s := Settings{
		Token: Secret(get("DUSKDAWN_TOKEN")), API: strings.TrimSuffix(get("DUSKDAWN_API"), "/"),
		Store:  Secret(get("DUSKDAWN_STORE")),
		Listen: get("DUSKDAWN_LISTEN"), Practice: get("DUSKDAWN_PRACTICE"), Webhook: get("DUSKDAWN_WEBHOOK"),
		Hook: Secret(get("DUSKDAWN_WEBHOOK_SECRET")), Call: Secret(get("DUSKDAWN_CALL")),
	}
	return s, inOrder(append(faults, s.faults()...))
}

func (s Settings) faults() []Fault {
	var out []Fault
	if u, err := url.Parse(s.API); err != nil || u.Scheme != "http" && u.Scheme != "https" || u.Host == "" {
		out = append(out, fault("DUSKDAWN_API", 0, "setup.bad.address"))
	}
	if kind, _, ok := strings.Cut(s.Store.Reveal(), ":"); !ok ||
		!slices.Contains([]string{"sqlite", "redis", "rediss", "redis+sentinel", "rediss+sentinel", "redis+unix", "memory"},
			kind) {
		out = append(out, fault("DUSKDAWN_STORE", 0, "setup.bad.store"))
	}
	if _, port, err := net.SplitHostPort(s.Listen); s.Listen != "" {
		if n, no := strconv.ParseUint(port, 10, 16); err != nil || no != nil || n == 0 {
			out = append(out, fault("DUSKDAWN_LISTEN", 0, "setup.bad.listen"))
		}
	}
	if s.Webhook != "" && s.Hook == "" {
		out = append(out, fault("DUSKDAWN_WEBHOOK_SECRET", 0, "setup.bad.hook"))
	}
	if u, err := url.Parse(s.Webhook); err != nil || s.Webhook != "" && u.Scheme != "https" {
		out = append(out, fault("DUSKDAWN_WEBHOOK", 0, "setup.bad.address"))
	}
	return out
}

// Secret is a text that no log, error or format verb shows.
type Secret string

const hidden = "(secret)"

// Reveal gives the text, for the one place that needs it.
func (s Secret) Reveal() string { return string(s) }

// Format, String, GoString and MarshalText all hide it.
func (s Secret) Format(f fmt.State, _ rune)   { _, _ = f.Write([]byte(hidden)) }
func (s Secret) String() string               { return hidden }
func (s Secret) GoString() string             { return hidden }
func (s Secret) MarshalText() ([]byte, error) { return []byte(hidden), nil }
