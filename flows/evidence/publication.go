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

// Short is the first author and the year, as a line has room for: "Fleury 2004".
// Where either was not seen, it is the id.
func (p Publication) Short() string {
	author, rest, _ := strings.Cut(p.Cite, " ")
	for particle := author; particle != "" && particle == strings.ToLower(particle) && rest != ""; { // "de Ruiter"
		particle, rest, _ = strings.Cut(rest, " ")
		author += " " + particle
	}
	author = strings.TrimSuffix(author, ",") // "CMS, LCD ..."
	if strings.Contains(p.Cite, "not seen") || rest == "" {
		return p.ID
	}
	for i := 0; i+4 <= len(rest); i++ {
		if y := rest[i : i+4]; (y[:2] == "19" || y[:2] == "20") && strings.Trim(y, "0123456789") == "" &&
			(i == 0 || rest[i-1] == ' ') {
			return author + " " + y
		}
	}
	return p.ID
}

// publicationTable cites author, journal and year. What was not seen of one is
// said in its place, and so is what is from memory.
var publicationTable = [...]Publication{
	{"doi 10.15331/jdsm.7158", "Sheats R et al. J Dent Sleep Med 2020;7(4)"},
	{"doi 10.15331/jdsm.6746", "Sheats RD et al. J Dent Sleep Med 2017;4(4)"},
	{"doi 10.5664/jcsm.4858", "Ramar K et al. J Clin Sleep Med 2015;11:773-827"},
	{"doi 10.15331/jdsm.3738", "Scherr SC et al. J Dent Sleep Med 2014;1(1)"},
	{"doi 10.15331/jdsm.7204", "Radmand R et al. J Dent Sleep Med 2021;8(3)"},
	{"doi 10.15331/jdsm.7250", "Sangalli L et al. J Dent Sleep Med 2022"},
	{"doi 10.15331/jdsm.7266", "Levine M et al. J Dent Sleep Med 2022;9(4)"},
	{"doi 10.1378/chest.125.5.1761", "Fleury B et al. Chest 2004;125:1761-7"},
	{"doi 10.1378/chest.117.4.1065", "Kato J et al. Chest 2000;117:1065-72"},
	{"doi 10.5664/jcsm.8556", "Ma Y, Yu M, Gao X. J Clin Sleep Med 2020"},
	{"doi 10.5664/jcsm.6202", "Kastoer C et al. J Clin Sleep Med 2016;12:1411-21"},
	{"doi 10.5664/jcsm.3460", "Sutherland K et al. J Clin Sleep Med 2014;10:215-27"},
	{"doi 10.1183/09031936.00148208", "Gagnadoux F et al. Eur Respir J 2009;34:914-20"},
	{"doi 10.1183/16000617.0200-2021", "Randerath W et al. Eur Respir Rev 2021;30:210200"},
	{"doi 10.1007/s11325-015-1307-7", "Bartolucci ML et al. Sleep Breath 2016;20:911-9"},
	{"doi 10.1007/s11325-020-02045-w", "de Ruiter MHT, Aarab G, de Vries N, Lobbezoo F, de Lange J. Sleep Breath 2020;24(3)"},
	{"doi 10.1186/s12903-019-0783-8", "Mayoral P et al. BMC Oral Health 2019;19:85"},
	{"doi 10.1111/j.1749-4486.2010.02127.x", "Cathcart RA et al. Clin Otolaryngol 2010;35:198-203"},
	{"doi 10.1007/s00405-020-05813-2", "Fischer R et al. Eur Arch Otorhinolaryngol 2020;277:1227-33"},
	{"doi 10.2147/JPR.S75192", "Brailo V, Zakrzewska JM. J Pain Res 2015;8:95-104"},
	{"doi 10.1164/rccm.201304-0726ST", "Strohl KP et al. Am J Respir Crit Care Med 2013"},
	{"doi 10.1186/s13063-019-3698-4", "Dieltjens M et al. Trials 2019"},
	{"doi 10.5664/jcsm.6492", "Sutherland K et al. J Clin Sleep Med 2017;13:411-7"},
	{"doi 10.5664/jcsm.4278", "Pliska BT et al. J Clin Sleep Med 2014"},
	{"doi 10.5664/jcsm.6896", "Minagi HO et al. J Clin Sleep Med 2018;14:119-25"},
	{"doi 10.15331/jdsm.6918", "Milano F et al. J Dent Sleep Med 2018;5(1)"},
	{"doi 10.11607/jofph.24.3.05", "Emshoff R et al. J Orofac Pain 2010;24(3)"},
	{"doi 10.61872/sdj-2020-09-670", "Türp JC et al. Swiss Dent J 2020;130:668-75"},
	{"doi 10.1016/j.ajodo.2005.10.017", "Gonçalves TS, Morganti MA, Campos LC, Rizzatto SMD, Menezes LM. Am J Orthod Dentofacial Orthop 2006;129:431-5"},
	{"doi 10.1093/intqhc/mzm015", "Tennant R et al. Int J Qual Health Care 2007;19:187-94"},
	{"PMC4661335", "Duce B et al. J Clin Sleep Med 2015;11:1425-31"},
	{"PMC6411174", "Alshaer H et al. J Clin Sleep Med 2019;15:463-70"},
	{"PMC8726364", "Kent D et al. J Clin Sleep Med 2021, evidence review on referral for surgery, table 3 (author from memory)"},
	{"PMID 23270383", "Gong X et al. Angle Orthod 2013 (journal from memory)"},
	{"Bamagoos 2019", "Bamagoos AA et al. Sleep 2019"},
	{"Woelfel 2014", "Woelfel JB et al. J Adv Prosthodont 2014;6(6)"},
	{"Thorax 2013;68", "Vanderveken OM et al. Thorax 2013;68:91-6"},
	{"Huh 2022", "Huh JY. J Dent Anesth Pain Med 2022;22(3) (journal from memory)"},
	{"Page 1954", "Page ES. Biometrika 1954;41:100-15"},
	{"L33611", "CMS, LCD L33611 with article A52512, 2015, revised 2021"},
	{"NG202", "NICE guideline NG202, 2021"},
}

// HasID reports whether the publication goes by a number that can be looked up.
func (p Publication) HasID() bool {
	return slices.ContainsFunc([]string{"doi ", "PMC", "PMID "}, func(s string) bool { return strings.HasPrefix(p.ID, s) })
}
