package main

import (
	"fmt"
	"io"
	"maps"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync"
	"testing"

	"duskdawn/bot/rehearsal"
	"duskdawn/bot/stage"
)

// asks makes a request of the room's interface and gives the answer.
func asks(b *testing.B, h http.Handler, method, path, body string) string {
	b.Helper()
	r := httptest.NewRequest(method, path, strings.NewReader(body))
	r.Host = "localhost"
	w := httptest.NewRecorder()
	if h.ServeHTTP(w, r); w.Code != 200 {
		b.Fatal(method, path, w.Code, w.Body)
	}
	raw, _ := io.ReadAll(w.Body)
	return string(raw)
}

// opens is the room on a scene; the empty one is the opening.
func opens(b *testing.B, scene string) (*rehearsal.Room, *stage.World) {
	b.Helper()
	house, err := stage.NewHouse(nil)
	if err != nil {
		b.Fatal(err)
	}
	w, err := house.Open(b.Context(), scene)
	if err != nil {
		b.Fatal(err)
	}
	return rehearsal.New(house, w, rehearsal.Options{}), w.(*stage.World)
}

// lived is a room with four hundred nights of a patient, and three thousand
// messages in the talk.
func lived(b *testing.B) *rehearsal.Room {
	b.Helper()
	room, w := opens(b, "")
	asks(b, room, "POST", "/rehearsal/clock", `{"by":"8760h","answer":true}`)
	asks(b, room, "POST", "/rehearsal/clock", `{"by":"360h","answer":true}`)
	for len(w.Platform().Messages(stage.Heron)) < 3000 {
		asks(b, room, "POST", fmt.Sprintf("/rehearsal/chats/%d/say", stage.Heron), `{"text":"today"}`)
	}
	return room
}

// BenchmarkRoom measures the rehearsal: a week of one patient, a year of three,
// and then what each click of the page asks for with four hundred nights and
// three thousand messages; the state with two hundred patients.
func BenchmarkRoom(b *testing.B) {
	b.Run("week", func(b *testing.B) {
		for b.Loop() {
			b.StopTimer()
			room, _ := opens(b, "first-night")
			b.StartTimer()
			asks(b, room, "POST", "/rehearsal/clock", `{"by":"168h","answer":true}`)
			b.StopTimer()
			_ = room.Close()
			b.StartTimer()
		}
	})
	b.Run("year", func(b *testing.B) {
		for b.Loop() {
			b.StopTimer()
			room, _ := opens(b, "")
			b.StartTimer()
			asks(b, room, "POST", "/rehearsal/clock", `{"by":"8760h","answer":true}`)
			b.StopTimer()
			_ = room.Close()
			b.StartTimer()
		}
	})
	long := sync.OnceValue(func() *rehearsal.Room { return lived(b) })
	chat := fmt.Sprintf("/rehearsal/chats/%d/", stage.Heron)
	for name, path := range ordered(map[string]string{"state": "/rehearsal/state", "talk": chat + "messages?last=60",
		"course": chat + "course?width=390", "whatif": chat + "course?width=390&interval=7",
		"night": chat + "nights/2026-02-20", "strip": "/rehearsal/strip"}) {
		b.Run("ask/"+name, func(b *testing.B) {
			room := long()
			for b.Loop() {
				asks(b, room, "GET", path, "")
			}
		})
	}
	b.Run("ask/said-and-drawn", func(b *testing.B) { // all that a quick answer leads to
		room := long()
		for b.Loop() {
			asks(b, room, "POST", chat+"say", `{"text":"today"}`)
			for _, path := range []string{"/rehearsal/state", chat + "messages?last=60", chat + "course?width=390",
				"/rehearsal/strip"} {
				asks(b, room, "GET", path, "")
			}
		}
	})
	monday := sync.OnceValue(func() *rehearsal.Room { room, _ := opens(b, "monday"); return room })
	for name, path := range ordered(map[string]string{"state": "/rehearsal/state",
		"practice": fmt.Sprintf("/rehearsal/chats/%d/course?width=390", stage.UserClinician)}) {
		b.Run("monday/"+name, func(b *testing.B) {
			room := monday()
			for b.Loop() {
				asks(b, room, "GET", path, "")
			}
		})
	}
}

// ordered goes through a map by its keys.
func ordered(m map[string]string) func(yield func(string, string) bool) {
	return func(yield func(string, string) bool) {
		for _, k := range slices.Sorted(maps.Keys(m)) {
			if !yield(k, m[k]) {
				return
			}
		}
	}
}
