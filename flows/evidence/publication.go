package evidence

import (
	"slices"
	"strings"
)

// Publication is what a claim names, as references are written in any language.
type Publication struct {
	ID   string // its DOI, PMC or PubMed number where it has one
	Cite string
}

// Publications returns everything that a claim may name.
func Publications() []Publication { return publicationTable[:] }

// PublicationOf finds a publication by its id.
func PublicationOf(id string) (Publication, bool) {
	for i := range publicationTable {
		if publicationTable[i].ID == id {
			return publicationTable[i], true
		}
	}
	return Publication{}, false
}

var publicationTable = [...]Publication{
	{"doi 10.15331/jdsm.7158", "Sheats R et al. J Dent Sleep Med 2020;7(4)"},
	{"doi 10.15331/jdsm.6746", "Sheats RD et al. J Dent Sleep Med 2017;4(4)"},
	{"doi 10.5664/jcsm.4858", "Ramar K et al. J Clin Sleep Med 2015;11(7):773-827"},
	{"doi 10.15331/jdsm.3738", "Scherr SC et al. J Dent Sleep Med 1(1)"},
	{"doi 10.15331/jdsm.7204", "Radmand R et al. J Dent Sleep Med 2021;8(3)"},
	{"doi 10.15331/jdsm.7250", "Sangalli L et al. J Dent Sleep Med 2022"},
	{"doi 10.1378/chest.125.5.1761", "Fleury B et al. Chest 2004;125:1761-7"},
	{"doi 10.5664/jcsm.8556", "Ma Y, Yu M, Gao X. J Clin Sleep Med 2020"},
	{"doi 10.1007/s11325-015-1307-7", "Bartolucci ML et al. Sleep Breath 2016;20:911-9"},
	{"doi 10.1186/s12903-019-0783-8", "Mayoral P et al. BMC Oral Health 2019;19:85"},
	{"doi 10.1111/j.1749-4486.2010.02127.x", "Clin Otolaryngol 2010;35:198-203"},
	{"doi 10.2147/JPR.S75192", "Brailo V, Zakrzewska J. J Pain Res 2015;8:95-104"},
	{"doi 10.2147/TCRM.S30639", "Ther Clin Risk Manag"},
	{"doi 10.1164/rccm.201304-0726ST", "Strohl KP et al. Am J Respir Crit Care Med 2013"},
	{"doi 10.1186/s13063-019-3698-4", "Trials 2019"},
	{"doi 10.5664/jcsm.6492", "Sutherland K et al. J Clin Sleep Med 2017;13:411-7"},
	{"doi 10.15331/jdsm.6918", "Milano F et al. J Dent Sleep Med 2018"},
	{"doi 10.11607/jofph.24.3.05", "Emshoff R et al. 2010"},
	{"PMC4661335", "Duce B et al. 2015"},
	{"PMC6411174", "Alshaer H et al."},
	{"PMC8726364", "AASM, referral for surgery: evidence review, table 3"},
	{"PMC10363870", "Acrylic resin, case report"},
	{"PMID 23270383", "Gong X et al. 2013"},
	{"Bamagoos 2019", "Bamagoos AA et al. Sleep 2019"},
	{"Woelfel 2014", "Woelfel JB et al. J Adv Prosthodont 2014;6(6)"},
	{"Swiss Dent J", "Swiss Dent J, mandibular mobility, n = 500"},
	{"Thorax 2013;68", "Vanderveken OM et al. Thorax 2013;68:91-6"},
	{"J Clin Sleep Med 2014;10", "J Clin Sleep Med 2014;10:215-27"},
	{"CE578", "Continuing-education module CE578"},
	{"L33611", "CMS LCD L33611, article A52512"},
	{"NG202", "NICE NG202"},
}

// HasID reports whether the publication goes by a number that can be looked up.
func (p Publication) HasID() bool {
	return slices.ContainsFunc([]string{"doi ", "PMC", "PMID "}, func(s string) bool { return strings.HasPrefix(p.ID, s) })
}
