package scheduler

import (
	"slices"
	"strings"
	"testing"
	"time"

	"duskdawn/flows/civil"
)

func TestFind(t *testing.T) {
	zs := NewZones()
	for _, c := range []struct{ text, want string }{
		{"Europe/Madrid", "Europe/Madrid"},
		{" europe/madrid ", "Europe/Madrid"},
		{"MADRID", "Europe/Madrid"},
		{"Madrid, Spain", "Europe/Madrid"},
		{"buenos aires", "America/Argentina/Buenos_Aires"},
		{"Argentina/Buenos Aires", "America/Argentina/Buenos_Aires"},
		{"New York", "America/New_York"},
		{"new_york", "America/New_York"},
		{"São Paulo", "America/Sao_Paulo"},
		{"Asunción", "America/Asuncion"},
		{"Málaga", "Europe/Madrid"},
		{"port au prince", "America/Port-au-Prince"},
		{"Port-au-Prince", "America/Port-au-Prince"},
		{"Łódź", "Europe/Warsaw"},
		{"ho chi", "Asia/Ho_Chi_Minh"}, // the beginning of a name
		{"Barcelona", "Europe/Madrid"},
		{"Portland", "America/New_York America/Los_Angeles"},
		{"Birmingham", "Europe/London America/Chicago"},
		{"San José", "America/Los_Angeles America/Costa_Rica"},
		{"EST", "America/New_York"},
		{"MST", "America/Denver America/Phoenix"},
		{"Louisville", "America/Kentucky/Louisville"},
		{"UTC", "UTC"},
		{"Etc/GMT+5", "Etc/GMT+5"},
		{"GMT+5", ""}, // its sign is the other way round in the zone database
		{"US/Eastern", "US/Eastern"},
		{"Atlantis", ""},
		{"ma", ""},
		{"", ""},
		{", ", ""},
		{strings.Repeat("madrid", 700), ""},
	} {
		if got := strings.Join(zs.Find(c.text), " "); got != c.want {
			t.Errorf("%.30q names %q, want %q", c.text, got, c.want)
		}
	}
}

// Every name of the list loads, and finds itself.
func TestEveryNameIsFound(t *testing.T) {
	zs := NewZones()
	for _, name := range zoneList(t) {
		z, err := zs.Load(name)
		if err != nil {
			t.Errorf("%s does not load", name)
			continue
		}
		for _, typed := range []string{name, strings.ToLower(strings.ReplaceAll(name, "_", " "))} {
			found := zs.Find(typed)
			same := func(n string) bool { return zone(t, zs, n).Basis() == z.Basis() }
			if len(found) == 0 || !slices.ContainsFunc(found, same) || strings.Contains(name, "/") && len(found) > 1 {
				t.Errorf("%q finds %v", typed, found)
			}
		}
	}
}

func TestFitting(t *testing.T) {
	zs := NewZones()
	now := time.Date(2026, 11, 25, 2, 40, 0, 0, time.UTC)
	for _, c := range []struct {
		clock civil.Clock
		home  string
		first string
	}{
		{3*60 + 30, "Europe/Madrid", "Europe/Madrid"},
		{2*60 + 45, "Europe/Madrid", "Europe/London"}, // home does not fit, its continent comes first
		{8*60 + 10, "", "Asia/Kolkata"},
		{8*60 + 25, "", "Asia/Kathmandu"},
		{21*60 + 40, "America/Los_Angeles", "America/New_York"},
		{13*60 + 10, "", "Australia/Adelaide"},
		{16*60 + 25, "", "Pacific/Chatham"},
	} {
		got := zs.Fitting(now, c.clock, c.home)
		if len(got) == 0 || len(got) > 8 || got[0] != c.first {
			t.Errorf("%s fits %v, want %s", c.clock, got, c.first)
		}
		rulesOf := map[string]string{}
		for _, name := range got {
			z := zone(t, zs, name)
			apart := (int(z.Wall(now).Clock) - int(c.clock) + 1440) % 1440
			if apart > 20 && apart < 1420 {
				t.Errorf("%s does not show %s", name, c.clock)
			}
			r := rules(z.location(), now, now.AddDate(3, 0, 0))
			if other := rulesOf[r]; other != "" {
				t.Errorf("%s and %s keep the same clocks", name, other)
			}
			rulesOf[r] = name
		}
	}
	// Where winter time is one, summer time still tells zones apart.
	got := zs.Fitting(now, 19*60+40, "")
	for _, name := range []string{"America/Denver", "America/Phoenix"} {
		if !slices.Contains(got, name) {
			t.Errorf("%s is missing in %v", name, got)
		}
	}
}
