package school

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"duskdawn/locales/answer"
)

// Keep is where taggers are kept, by what they were taught on and by what taught them, so that each is taught once: it takes
// minutes. The zero Keep keeps nothing.
type Keep struct {
	folder  string
	program [32]byte
}

// Kept keeps taggers in the caches of whoever runs the program, where the machine has a place for them; locales is the folder
// of that package.
func Kept(locales fs.FS) (k Keep, err error) {
	at, err := os.UserCacheDir()
	if err != nil {
		return k, nil
	}
	k.folder = filepath.Join(at, "duskdawn", "taggers")
	k.program, err = hashOf(locales, []string{"answer/tagger.go", "answer/ear.go", "answer/form.go", "matrix/*", "linear/softmax.go", "school/tag*.go"})
	return k, err
}

// tagger is a tagger that was taught on these lessons, as it is written down.
func (k Keep) tagger(ls []tagLesson) (*answer.Tagger, error) {
	h := sha256.New()
	h.Write(k.program[:])
	for i := range ls {
		l := &ls[i]
		fmt.Fprintln(h, l.tokens.Inputs, l.tokens.All, l.ways, l.roles)
	}
	name := filepath.Join(k.folder, hex.EncodeToString(h.Sum(nil)))
	if buf, err := os.ReadFile(name); k.folder != "" && err == nil {
		if t, _, err := answer.OpenTagger(buf); err == nil {
			return t, nil
		}
	}
	buf, err := teachTagger(ls).Bytes([32]byte{})
	if err != nil {
		return nil, err
	}
	if k.folder != "" {
		if err := errors.Join(os.MkdirAll(k.folder, 0o755), os.WriteFile(name, buf, 0o644)); err != nil {
			return nil, err
		}
	}
	t, _, err := answer.OpenTagger(buf)
	return t, err
}
