// Package phone says whether a telephone number is possible: of a length that the
// country's numbering plan has. Whether it is given out is not asked, since numbers
// kept for fiction are not, and new ranges come before anybody's list knows them.
package phone

import (
	"strings"

	"github.com/nyaruka/phonenumbers"
)

// Known reports whether a country, in ISO 3166-1 alpha-2 ("ES"), has a numbering
// plan here.
func Known(country string) bool {
	return phonenumbers.GetCountryCodeForRegion(strings.ToUpper(country)) != 0
}

// Possible reports whether a number could be one: as it is dialled within the
// country, or from anywhere with a + and the country's code. Without a country only
// what begins with + is checked.
func Possible(number, country string) bool {
	number = strings.TrimSpace(number)
	if country == "" && !strings.HasPrefix(number, "+") {
		return true
	}
	n, err := phonenumbers.Parse(number, strings.ToUpper(country))
	return err == nil && phonenumbers.IsPossibleNumber(n)
}
