package main

import (
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"duskdawn/bot/rehearsal"
	"duskdawn/bot/stage"
	"duskdawn/store/memory"
)

// BenchmarkRoom measures the rehearsal: a week of one patient, a year of three,
// and then what each click of the page asks for.
func BenchmarkRoom(b *testing.B) {
	house, err := stage.NewHouse(nil)
	if err != nil {
		b.Fatal(err)
	}
	ask := func(b *testing.B, h http.Handler, method, path, body string) string {
		r := httptest.NewRequest(method, path, strings.NewReader(body))
		r.Host = "localhost"
		w := httptest.NewRecorder()
		if h.ServeHTTP(w, r); w.Code != 200 {
			b.Fatal(method, path, w.Code, w.Body)
		}
		raw, _ := io.ReadAll(w.Body)
		return string(raw)
	}
	b.Run("week", func(b *testing.B) {
		for b.Loop() {
			b.StopTimer()
			w, err := house.Open(b.Context(), "first-night")
			if err != nil {
				b.Fatal(err)
			}
			room := rehearsal.New(house, w, rehearsal.Options{})
			b.StartTimer()
			ask(b, room, "POST", "/rehearsal/clock", `{"by":"168h","answer":true}`)
			b.StopTimer()
			room.Close()
			b.StartTimer()
		}
	})
	w, err := house.Opening(b.Context(), memory.New())
	if err != nil {
		b.Fatal(err)
	}
	room := rehearsal.New(house, w, rehearsal.Options{})
	defer room.Close()
	b.Run("year", func(b *testing.B) {
		for b.Loop() {
			ask(b, room, "POST", "/rehearsal/clock", `{"by":"8760h","answer":true}`)
		}
	})
	chat := fmt.Sprintf("/rehearsal/chats/%d/", stage.Heron)
	b.Logf("%d messages of one patient", len(w.Platform().Messages(stage.Heron)))
	for name, path := range map[string]string{"state": "/rehearsal/state", "talk": chat + "messages?last=60",
		"course": chat + "course?width=390", "whatif": chat + "course?width=390&interval=7",
		"night": chat + "nights/2026-02-20", "strip": "/rehearsal/strip"} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				ask(b, room, "GET", path, "")
			}
		})
	}
}
