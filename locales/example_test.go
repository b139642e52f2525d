package locales_test

import (
	"fmt"
	"log"

	"duskdawn/flows/reading"
	"duskdawn/locales"
)

// One text, as everybody reads it: answers by field, a control word, red-flag
// features, whatever the language.
func ExampleWords_Read() {
	words, err := locales.Load()
	if err != nil {
		log.Fatal(err)
	}
	for _, text := range []string{"all night, snoring 3, jaw pain 2", "toda la noche, ronquido 3, dolor 2", "undo",
		"my throat is closing up", "pain 3 or 4"} {
		r := words.Read(text)
		for _, t := range r.Tokens {
			fmt.Print(locales.FieldKey(t.Field), " ", t.Value.N(), "; ")
		}
		fmt.Println("undo", r.Word == reading.WordUndo, "red flags", r.Features != 0, "doubt", r.Doubt)
	}
	// Output:
	// field.worn 2; field.snoring 3; field.pain 2; undo false red flags false doubt 0
	// field.worn 2; field.snoring 3; field.pain 2; undo false red flags false doubt 0
	// undo true red flags false doubt 0
	// undo false red flags true doubt 0
	// undo false red flags false doubt 1
}
