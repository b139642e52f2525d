package program

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"duskdawn/bot/telegram"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"

	"rsc.io/qr"
)

// media makes the picture or document of a message, as late as possible.
func (p *Program) media(ctx context.Context, m message.Message, lang string) (*telegram.File, error) {
	switch kind, _, _ := strings.Cut(m.Media, "."); kind {
	case "qr":
		return qrCode(m.MediaOf)
	case "diary":
		r, err := p.Record(ctx, m.Subject)
		if err != nil {
			return nil, err
		}
		var b bytes.Buffer
		if err := r.CSV(&b); err != nil {
			return nil, err
		}
		return &telegram.File{Kind: telegram.Document, Name: "diary.csv", Data: b.Bytes()}, nil
	case "howto":
		return howto(m.MediaOf)
	}
	return nil, fmt.Errorf("no media of the kind %q", m.Media)
}

// qrCode makes the picture of a link.
func qrCode(link string) (*telegram.File, error) {
	code, err := qr.Encode(link, qr.M)
	if err != nil {
		return nil, fmt.Errorf("making the picture of a link: %w", err)
	}
	return &telegram.File{Kind: telegram.Photo, Name: "join.png", Data: code.PNG()}, nil
}

// howto is the practice's own picture or video, as cardFile named it.
func howto(of string) (*telegram.File, error) {
	kind, where, _ := strings.Cut(of, ":")
	path, ok := strings.CutPrefix(where, "file:")
	if !ok {
		return &telegram.File{Kind: telegram.FileKind(kind), ID: strings.TrimPrefix(where, "id:")}, nil
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, nil // the text goes out without the picture, rather than not at all
	}
	return &telegram.File{Kind: telegram.FileKind(kind), Name: "card" + filepath.Ext(path), Data: data}, nil
}

// CardFile says of a how-to card's picture what it is and where: a file beside
// the practice's own, or else one that the platform knows by an id.
func CardFile(dir string, c practice.Card) string {
	if c.File == "" {
		return ""
	}
	kind := string(telegram.Photo)
	if c.Video {
		kind = string(telegram.Video)
	}
	path := c.File
	if !filepath.IsAbs(path) {
		path = filepath.Join(dir, path)
	}
	if st, err := os.Stat(path); err == nil && st.Mode().IsRegular() {
		return kind + ":file:" + path
	}
	return kind + ":id:" + c.File
}
