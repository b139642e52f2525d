package locales

import "duskdawn/flows"

// Read says what a text says.
func (w *Words) Read(text string) flows.Reading { return flows.Reading{Rest: text != ""} }
