package replay

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

const sheets = "../../testdata/diary/sheet"

// Twelve diaries kept on paper beside what an experienced clinician's sheet would say
// each evening, written down before the rules were asked: README.txt there tells by
// what. Every evening the rules say the same, or the row tells why they do not.
func TestDiariesOfASheet(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(sheets, "*.csv"))
	if err != nil || len(files) != 12 {
		t.Fatalf("%d diaries, %v", len(files), err)
	}
	nights, differ := 0, 0
	for _, file := range files {
		name := filepath.Base(file)
		diary, says, because := sheet(t, file)
		e := plan()
		e.Plan.Limits.Settle = 3
		rows, err := Read(bytes.NewReader(diary))
		if err != nil {
			t.Fatal(name, err)
		}
		at := 0
		if err := New(e).Each(rows, func(l Line) error {
			got := map[string]string{"stay": "stay ", "forward": "forward ", "go_back": "back ", "leave_out": "out"}[l.Action]
			if l.Action != "leave_out" {
				got += strconv.Itoa(l.To)
			}
			switch same := got == says[at]; {
			case same && because[at] != "":
				t.Errorf("%s, %s: both say %s, and a difference is named", name, l.Night, got)
			case !same && because[at] == "":
				t.Errorf("%s, %s: the sheet says %s, the rules %s by %s: no reason is given", name, l.Night, says[at], got, l.Rule)
			case !same:
				differ++
			}
			nights++
			at++
			return nil
		}); err != nil {
			t.Error(name, err)
		}
		if at != len(says) {
			t.Errorf("%s: %d nights of %d", name, at, len(says))
		}
	}
	t.Logf("%d nights, %d named differences", nights, differ)
}

// sheet reads a diary and takes what the sheet says, and why the rules differ, off it.
func sheet(t *testing.T, file string) (diary []byte, says, because []string) {
	t.Helper()
	raw, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(raw)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	for i, row := range rows {
		n := len(row) - 2
		if i == 0 && fmt.Sprint(row[n:]) != "[sheet because]" {
			t.Fatal(file, row)
		}
		if i > 0 {
			says, because = append(says, row[n]), append(because, row[n+1])
		}
		if err := w.Write(row[:n]); err != nil {
			t.Fatal(err)
		}
	}
	w.Flush()
	return out.Bytes(), says, because
}
