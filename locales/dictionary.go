package locales

// dictionaryPrefix begins the names of the reading dictionaries, "read.en.toml".
const dictionaryPrefix = "read."

// dictionary is what Read knows.
type dictionary struct{}

func loadDictionary([]string) (*dictionary, error) { return &dictionary{}, nil }
