package program

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"duskdawn/bot/picture"
	"duskdawn/bot/setup"
	"duskdawn/bot/telegram"
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/replay"
	"duskdawn/store"

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
	case "course":
		return p.drawn(ctx, m, lang), nil
	}
	return nil, fmt.Errorf("no media of the kind %q", m.Media)
}

// drawn is the picture of a course; nil where it cannot be drawn, since its
// message then goes out without it.
func (p *Program) drawn(ctx context.Context, m message.Message, lang string) *telegram.File {
	sheet, err := p.Picture(ctx, m.Subject, m.Media == flows.MediaCourseWhole, lang, picture.Phone)
	var raw []byte
	if err == nil {
		raw, err = sheet.PNG()
	}
	if err != nil {
		p.log.Error("picture", "class", pictureClass(err))
		return nil
	}
	return &telegram.File{Kind: telegram.Photo, Name: "course.png", Data: raw}
}

// pictureClass is what the log may say of a picture that was not drawn.
func pictureClass(err error) string {
	if errors.Is(err, store.ErrCorrupt) {
		return "damaged"
	}
	return "store"
}

// Picture draws a patient's course, at a width in points: the whole of it for
// staff, and otherwise what the patient follows by themselves.
func (p *Program) Picture(ctx context.Context, id chart.PatientID, whole bool, lang string, width int) (*picture.Sheet,
	error) {
	happened, err := p.Course(ctx, id)
	if err != nil {
		return nil, err
	}
	run := replay.NewKeeper(id)
	var lines []replay.Line
	for i := range happened {
		if line, advised := run.Next(&happened[i]); advised && whole {
			lines = append(lines, line)
		}
	}
	r, err := p.RecordWith(ctx, id, run.Rows())
	if err != nil {
		return nil, err
	}
	c := picture.CourseOf(r, lines)
	c.Simple = !whole
	return c.Draw(p.Words, lang, width), nil
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
	data, err := setup.ReadFile(path, setup.MediaMost)
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
