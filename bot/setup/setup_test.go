package setup

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/enrol"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"

	"github.com/google/go-cmp/cmp"
)

var langs = []string{"en", "es"}

func sampleFile(t *testing.T, name string) []byte {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("..", "..", "testdata", "setup", name))
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

func samplePractice(t *testing.T) practice.Practice {
	t.Helper()
	pr, faults := Practice(sampleFile(t, "practice.toml"), langs)
	if len(faults) > 0 {
		t.Fatalf("%+v", faults)
	}
	return pr
}

func TestSamplePractice(t *testing.T) {
	pr := samplePractice(t)
	if pr.Emergency != "112" || pr.Zone != "Europe/Madrid" || len(pr.Hours[time.Monday]) != 2 ||
		len(pr.Hours[time.Sunday]) != 0 || pr.Hours[time.Friday][0].To != 14*60 {
		t.Errorf("%+v", pr)
	}
	if len(pr.Holidays) != 3 || pr.Holidays[1] != civil.DateOf(2027, time.January, 1) {
		t.Errorf("holidays %v", pr.Holidays)
	}
	if pr.Defaults.Pace != 1000 || pr.Defaults.WornMinutes != 240 || pr.Defaults.Target != 3 {
		t.Errorf("limits %+v", pr.Defaults)
	}
	if len(pr.Rota) != 2 || len(pr.Cards) != 2 || pr.Cards[0].Topic != reading.HowStep || pr.MinutesS != 60 {
		t.Errorf("rota %+v, cards %+v", pr.Rota, pr.Cards)
	}
}

func TestSampleEnrolments(t *testing.T) {
	pr := samplePractice(t)
	for _, c := range []struct {
		file    string
		ceiling chart.Steps
		share   int
		night   int
		soft    int
	}{
		{"quiet.toml", 6, 688, 19, 0},     // 5.5 of 8.0 mm; nights 4, 7 ... 19
		{"twosided.toml", 10, 739, 42, 1}, // 6.0 mm, 8.5 of 11.5 counted from the most retruded
		{"timetable.toml", 3, 667, 18, 1}, // 6.0 of 9 mm; nights 4, 11, 18; nobody hears the snoring
	} {
		e, faults := Plan(sampleFile(t, c.file), &pr, civil.DateOf(2026, time.March, 2))
		if Refused(faults) || len(faults) != c.soft {
			t.Errorf("%s: %+v", c.file, faults)
			continue
		}
		if s := enrol.Summarise(e); s.Steps != c.ceiling || s.CeilingShare != c.share || s.Night != c.night {
			t.Errorf("%s: %+v", c.file, s)
		}
	}
}

func TestPlanFaults(t *testing.T) {
	pr := samplePractice(t)
	raw := strings.NewReplacer("step-mm = 0.25", "step-mm = 1.25", `zone = "Europe/Madrid"`, `zone = "Europe/Nowhere"`,
		"drives = false", "drives = 2",
		"adult = true", "adult = false", `language = "en"`, `language = "xx"`).Replace(string(sampleFile(t, "quiet.toml"))) + "colour = \"red\"\n[extra]\nx = 1\n"
	_, faults := Plan([]byte(raw), &pr, 20000)
	got := map[string]string{}
	for _, f := range faults {
		got[f.Key] = fmt.Sprintf("%d %s", f.Line, f.Say.Key)
	}
	want := map[string]string{"adult": "3 enrol.bad.must", "language": "4 enrol.bad.lang", "zone": "5 enrol.bad.zone",
		"step-mm": "11 enrol.bad.bounds", "drives": "33 enrol.bad.yes", "colour": "44 enrol.bad.key", "extra": "45 setup.bad.key"}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	_, faults = Plan([]byte("label = \"x\"\nstep-mm = = 3\n"), &pr, 20000)
	if len(faults) != 1 || faults[0].Line != 2 || faults[0].Say.Key != "setup.bad.toml" {
		t.Errorf("%+v", faults)
	}
}

// A number that nobody can call is refused, and so is a line that shows otherwise than it is.
func TestPracticeNumbers(t *testing.T) {
	for line, key := range map[string]string{`phone = "x"`: "phone", `phone = "---"`: "phone", `phone = "+1 555 0100\nDo not call"`: "phone",
		`emergency = "-"`: "emergency", `emergency = "+"`: "emergency", `out-of-hours = "call\u202e 0100"`: "out-of-hours"} {
		name, _, _ := strings.Cut(line, " =")
		var kept []string
		for _, l := range strings.Split(string(sampleFile(t, "practice.toml")), "\n") {
			if !strings.HasPrefix(l, name+" ") {
				kept = append(kept, l)
			}
		}
		_, faults := Practice([]byte(line+"\n"+strings.Join(kept, "\n")), langs)
		if !slices.ContainsFunc(faults, func(f Fault) bool { return f.Key == key }) {
			t.Errorf("%s: %+v", line, faults)
		}
	}
}

func TestPracticeFaults(t *testing.T) {
	raw := strings.NewReplacer(`phone = "+34 600 000 100"`, "", `zone = "Europe/Madrid"`, `zone = "Local"`,
		`emergency = "112" `, `emergency = "one one two" `,
		`wed = ["09:00-13:30"]`, `wed = ["13:00-09:00"]`, "settle = 3", "settle = 0", "loud = 7", "loud = 3", `from = "0 8 * * TUE,THU"`, `from = "TZ=Europe/Berlin"`,
		`topic = "step"`, `topic = "floss"`, "minutes-same-day = 60", "minutes-same-day = 600", `"2027-01-06"`, `"6 January"`).Replace(string(sampleFile(t, "practice.toml"))) + "colour = 1\n"
	_, faults := Practice([]byte(raw), langs)
	got := map[string]string{}
	for _, f := range faults {
		got[f.Key] = f.Say.Key
		if f.Line == 0 && f.Key != "phone" {
			t.Errorf("%s: no line", f.Key)
		}
	}
	want := map[string]string{"phone": "setup.bad.missing", "zone": "setup.bad.zone", "emergency": "setup.bad.phone",
		"hours.wed": "setup.bad.span", "limits.settle": "enrol.bad.bounds",
		"limits.loud": "enrol.bad.bounds", "rota[1].from": "setup.bad.cron", "card[0].topic": "setup.bad.topic", "card[1].topic": "setup.bad.topic", "minutes-same-day": "setup.bad.whole",
		"holidays": "setup.bad.date", "card[1].colour": "setup.bad.key"}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

func TestSettings(t *testing.T) {
	read := func(path string) ([]byte, fs.FileMode, error) {
		if path == "/run/token" {
			return []byte("12:abc\n"), 0o640, nil
		}
		return nil, 0, errors.New("no such file")
	}
	s, faults := Read([]string{"HOME=/root", "DUSKDAWN_TOKEN_FILE=/run/token", "DUSKDAWN_API=http://127.0.0.1:8081/",
		"DUSKDAWN_PRACTICE=p.toml"}, read)
	if len(faults) > 0 || s.Token.Reveal() != "12:abc" || s.API != "http://127.0.0.1:8081" ||
		s.Store.Reveal() != "sqlite:duskdawn.db" {
		t.Errorf("%+v %+v", s, faults)
	}
	for _, kind := range []string{"redis://h", "rediss://h", "redis+sentinel://h?master=m", "rediss+sentinel://h?master=m",
		"redis+unix:///s", "memory:"} {
		if _, faults := Read([]string{"DUSKDAWN_STORE=" + kind}, read); len(faults) > 0 {
			t.Errorf("%s: %+v", kind, faults)
		}
	}
	_, faults = Read([]string{"DUSKDAWN_TOKN=1", "DUSKDAWN_API_FILE=x", "DUSKDAWN_STORE=mysql:x", "DUSKDAWN_API=nowhere",
		"DUSKDAWN_TOKEN_FILE=/none", "DUSKDAWN_WEBHOOK=https://h", "DUSKDAWN_LISTEN=foo"}, read)
	got := map[string]string{}
	for _, f := range faults {
		got[f.Key] = f.Say.Key
	}
	want := map[string]string{"DUSKDAWN_TOKN": "setup.bad.name", "DUSKDAWN_API_FILE": "setup.bad.name",
		"DUSKDAWN_STORE": "setup.bad.store", "DUSKDAWN_API": "setup.bad.address",
		"DUSKDAWN_TOKEN_FILE": "setup.bad.file", "DUSKDAWN_WEBHOOK_SECRET": "setup.bad.hook", "DUSKDAWN_LISTEN": "setup.bad.listen"}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	for at, good := range map[string]bool{"127.0.0.1:8080": true, ":8080": true, "[::1]:8080": true, "host:0": false,
		"host:70000": false, "host:http": false, "8080": false} {
		if _, faults := Read([]string{"DUSKDAWN_LISTEN=" + at}, read); good != (len(faults) == 0) {
			t.Errorf("%s: %+v", at, faults)
		}
	}
}

// A secret in a file that others can read, or change, is used and remarked on;
// its group may read it, as the README has it.
func TestSecretInAFileOthersCanRead(t *testing.T) {
	dir := t.TempDir()
	for mode, well := range map[fs.FileMode]bool{0o400: true, 0o600: true, 0o640: true, 0o440: true, 0o644: false,
		0o604: false, 0o602: false, 0o660: false, 0o666: false} {
		path := filepath.Join(dir, fmt.Sprintf("%o", mode))
		if err := os.WriteFile(path, []byte("12:abc\n"), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Chmod(path, mode); err != nil {
			t.Fatal(err)
		}
		for _, name := range []string{"DUSKDAWN_TOKEN", "DUSKDAWN_WEBHOOK_SECRET"} {
			s, faults := Read([]string{name + "_FILE=" + path}, FromDisk)
			if s.Token.Reveal()+s.Hook.Reveal() != "12:abc" || Refused(faults) {
				t.Fatalf("%s of mode %o is not used: %+v", name, mode, faults)
			}
			told := len(faults) == 1 && faults[0].Key == name+"_FILE" && faults[0].Say.Key == "setup.bad.exposed"
			if well == told || well && len(faults) > 0 {
				t.Errorf("%s of mode %o: %+v", name, mode, faults)
			}
		}
	}
	if err := os.WriteFile(filepath.Join(dir, "large"), make([]byte, settingsMost+1), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{dir, os.DevNull, "/dev/zero", filepath.Join(dir, "none"), filepath.Join(dir, "large")} {
		if _, faults := Read([]string{"DUSKDAWN_TOKEN_FILE=" + path}, FromDisk); !Refused(faults) {
			t.Errorf("a token was read from %s", path)
		}
	}
}

func TestSecretHides(t *testing.T) {
	s := Settings{Token: "12:abc"}
	for _, text := range []string{fmt.Sprint(s), fmt.Sprintf("%v %+v %#v %s %q %x %d", s, s, s, s.Token, s.Token, s.Token,
		s.Token), s.Token.String()} {
		if strings.Contains(text, "abc") || strings.Contains(text, fmt.Sprintf("%x", "abc")) {
			t.Errorf("the token shows in %q", text)
		}
	}
	if raw, _ := s.Token.MarshalText(); strings.Contains(string(raw), "abc") {
		t.Error("the token marshals")
	}
}

func TestRotaLines(t *testing.T) {
	for _, good := range []string{"0 8 * * MON,WED,FRI", "0 20 * * 1-5", "30 7 29 2 *"} {
		if !comes(good) {
			t.Errorf("%q was refused", good)
		}
	}
	for _, bad := range []string{"TZ=Europe/Berlin", "CRON_TZ=UTC 0 8 * * *", "@every 1h", "@daily", "0 0 31 2 *", "",
		"* * * *", "61 * * * *"} {
		if comes(bad) {
			t.Errorf("%q was taken", bad)
		}
	}
}

func FuzzFiles(f *testing.F) {
	f.Add("name = \"x\"\n[hours]\nmon = [\"09:00-10:00\"]\n[[rota]]\nstaff=1")
	f.Add("step-mm = 0.25\nscores = [1]\n[a]\nb=2")
	f.Fuzz(func(t *testing.T, text string) {
		pr, _ := Practice([]byte(text), langs)
		e, faults := Plan([]byte(text), &pr, 20000)
		if !Refused(faults) && enrol.Refused(enrol.Check(e)) {
			t.Errorf("a plan outside its bounds was taken: %q", text)
		}
	})
}

// A telephone of the practice that its country cannot have, and a night that is none.
func TestPracticeThatCannotBe(t *testing.T) {
	raw, err := os.ReadFile("../../testdata/setup/practice.toml")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ key, value, want string }{
		{"phone", "600 10", "setup.bad.phone"}, {"phone", "+34 600", "setup.bad.phone"}, {"phone", "600 000 100", ""},
		{"morning", "20:00", "setup.bad.order"}, {"morning", "11:59", ""}, {"evening", "06:00", ""}, {"evening", "07:30", "setup.bad.order"},
	} {
		lines := strings.Split(string(raw), "\n")
		for i, l := range lines {
			if strings.HasPrefix(l, c.key+" =") {
				lines[i] = fmt.Sprintf("%s = %q", c.key, c.value)
			}
		}
		_, faults := Practice([]byte(strings.Join(lines, "\n")), []string{"en", "es"})
		got := ""
		for _, f := range faults {
			got += f.Say.Key
		}
		if got != c.want {
			t.Errorf("%s %s: %q, want %q", c.key, c.value, got, c.want)
		}
	}
}
