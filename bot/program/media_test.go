package program

import (
	"bytes"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"duskdawn/bot/telegram"
	"duskdawn/flows/practice"
)

// A card's picture lies beside the practice's file; what does not is an id of
// the platform's; a file that went away leaves the text alone.
func TestHowToPictures(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "turn.mp4"), []byte("moving"), 0o600); err != nil {
		t.Fatal(err)
	}
	of := CardFile(dir, practice.Card{File: "turn.mp4", Video: true})
	f, err := howto(of)
	if err != nil || f == nil || f.Kind != telegram.Video || string(f.Data) != "moving" || f.Name != "card.mp4" {
		t.Errorf("%q gives %+v, %v", of, f, err)
	}
	if err := os.Remove(filepath.Join(dir, "turn.mp4")); err != nil {
		t.Fatal(err)
	}
	if f, err := howto(of); f != nil || err != nil {
		t.Errorf("a lost file gives %+v, %v", f, err)
	}
	if f, err := howto(CardFile(dir, practice.Card{File: "AgACAgIAAx"})); err != nil || f.Kind != telegram.Photo ||
		f.ID != "AgACAgIAAx" || f.Data != nil {
		t.Errorf("an id gives %+v, %v", f, err)
	}
}

func TestTheJoinPictureIsAPicture(t *testing.T) {
	f, err := qrCode("https://t.me/duskdawn_bot?start=07ABCDEFGHJKMN")
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(f.Data))
	if err != nil || img.Bounds().Dx() < 150 || f.Kind != telegram.Photo {
		t.Errorf("%v, %v", img.Bounds(), err)
	}
}
