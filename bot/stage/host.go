package stage

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"duskdawn/bot/rehearsal"
	"duskdawn/bot/standin"
)

// The host is a chat of the page that is no chat of the platform: what is typed there
// are the commands of the host, run on this world and on its clock, and two that only a
// rehearsal has, which bring in people.

// Commands runs one of the host's commands on a world, and gives what it printed.
type Commands func(ctx context.Context, w *World, line string) string

// userNew is the account of the first who is brought in.
const userNew = 1001

// WithHost gives the worlds of the house a host.
func (h *House) WithHost(c Commands) { h.commands = c }

// hosted puts the host's chat onto the page.
func (s *Scene) hosted(commands Commands) {
	if commands == nil {
		return
	}
	s.Platform.AddUser(standin.User{ID: UserHost, Name: "host", Language: "en"})
	s.add(rehearsal.Chat{ID: UserHost, Who: "The host", Role: "owner", User: UserHost, Zone: s.zone, Name: "host"})
}

// add puts a chat behind the others.
func (s *Scene) add(c rehearsal.Chat) {
	s.folk.Lock()
	defer s.folk.Unlock()
	if !slices.ContainsFunc(s.People, func(o rehearsal.Chat) bool { return o.ID == c.ID }) {
		s.People = append(slices.Clone(s.People), c)
	}
}

const hostHelp = `Here you are the owner at the command line of the host. What it knows:
person NAME [es]: somebody new with a telephone, to be a patient or staff; give them a code, and type it in their chat
group: a chat of all the staff, for the code of: staff group
staff add -role clinician|assistant -label NAME; staff list; staff code -id ID; staff pin -id ID; staff remove -id ID; staff group
enrol -clinician ID [-sign], and the lines of a plan below it
backup -to PATH`

// Host runs a line of the host's.
func (w *World) Host(ctx context.Context, line string) error {
	w.Platform().Aside(UserHost, false, line)
	w.script.whole = false // a script has no such line
	word, rest, _ := strings.Cut(strings.TrimSpace(line), " ")
	var said string
	switch word {
	case "person":
		said = w.person(strings.Fields(rest))
	case "group":
		said = w.group()
	case "", "help":
		said = hostHelp
	default:
		said = hostHelp
		if w.commands != nil {
			said = w.commands(ctx, w, line)
		}
	}
	if said == "" {
		said = "Done."
	}
	w.Platform().Aside(UserHost, true, strings.TrimSpace(said))
	return w.Quiet(ctx)
}

// person brings somebody in whom nobody knows yet.
func (w *World) person(words []string) string {
	lang := "en"
	if n := len(words); n > 1 && slices.Contains(w.Words.Languages(), words[n-1]) {
		lang, words = words[n-1], words[:n-1]
	}
	if len(words) == 0 {
		return "person NAME [es]"
	}
	name := strings.Join(words, " ")
	user := int64(userNew)
	for _, c := range w.People {
		user = max(user, c.User+1)
	}
	w.Platform().AddUser(standin.User{ID: user, Name: name, Language: lang})
	w.add(rehearsal.Chat{ID: user, Who: name, Role: "stranger", User: user, Zone: w.zone, Name: strings.ToLower(words[0])})
	return fmt.Sprintf("%s has a telephone now, and is in the list. A code that is typed in that chat makes a patient or staff of them.", name)
}

// group makes a chat of all the staff who have joined.
func (w *World) group() string {
	pr, err := w.Practice(context.Background())
	if err != nil {
		return err.Error()
	}
	var members []int64
	for _, s := range pr.Staff {
		if s.Chat != 0 && !s.Removed {
			members = append(members, s.Chat)
		}
	}
	if len(members) == 0 {
		return "Nobody has joined yet."
	}
	room := w.Platform().AddGroup("Staff", members...)
	w.Platform().Admin(room)
	for i, m := range members {
		who, _ := pr.ByChat(m)
		w.add(rehearsal.Chat{ID: UserGroup + 100 - room%100*100 + int64(i), Who: who.Label, Role: "group", Room: room, User: m, Zone: w.zone})
	}
	return "There is a group of all the staff. Type 'staff group' here, and its code there: /start CODE."
}

// staffed follows who has joined as staff since: their chats are staff's from then on.
func (w *World) staffOf(c rehearsal.Chat) (role, label string) {
	pr, err := w.Practice(context.Background())
	if err != nil || c.Room != 0 {
		return "", ""
	}
	if s, known := pr.ByChat(c.User); known && !s.Removed {
		return s.Role.String(), s.Label
	}
	return "", ""
}
