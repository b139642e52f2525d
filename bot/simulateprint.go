package main

import (
	"cmp"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"text/tabwriter"

	"duskdawn/flows/cohort"
)

// cohortReport is a cohort as JSON. Shares are of the patients played; the
// median is of those whose snoring settled, null where it settled for nobody.
type cohortReport struct {
	Note          string             `json:"note"`
	Plan          string             `json:"plan"`
	Patients      int                `json:"patients"`
	Nights        int                `json:"nights"`
	Seed          uint64             `json:"seed"`
	Adversarial   bool               `json:"adversarial"`
	Partial       bool               `json:"partial"` // stopped before all wanted patients were played
	Wanted        int                `json:"patients_wanted"`
	Lived         int                `json:"patient_nights"`
	Breaches      int                `json:"breaches"`
	Broken        map[string]int     `json:"breaches_by_promise"`
	AtTarget      float64            `json:"share_at_target"`
	AtCeiling     float64            `json:"share_at_ceiling"`
	AtPlateau     float64            `json:"share_plateau"`
	AtComfort     float64            `json:"share_at_comfort_limit"`
	Dropped       float64            `json:"share_dropped"`
	Waiting       float64            `json:"share_waiting"`
	Underway      float64            `json:"share_under_way"`
	NotEnrolled   float64            `json:"share_not_enrolled"`
	EverSettled   float64            `json:"share_ever_settled"`
	Median        *int               `json:"median_nights_to_target"`
	Forward       float64            `json:"steps_forward_per_patient"`
	BackOffs      float64            `json:"back_offs_per_patient"`
	Rests         float64            `json:"rests_per_patient"`
	SoreMornings  float64            `json:"sore_mornings_per_patient"`
	PeakModerate  float64            `json:"share_peak_pain_5_or_more"`
	PeakSevere    float64            `json:"share_peak_pain_8_or_more"`
	SoreTwoMonths *float64           `json:"share_sore_at_two_months"` // null under 60 nights
	Flags         map[string]int     `json:"flags"`
	FlagRate      map[string]float64 `json:"flags_per_100_patients_and_day"`
	Escalations   float64            `json:"escalations_per_100_patients_and_day"`
	Needless      float64            `json:"steps_at_a_settled_setting_per_patient"` // settled in truth, which nobody knows
	Quiet         float64            `json:"share_at_target_and_quiet"`              // at the target, the true mean there 3.5 or lower
	Stopped       [3]float64         `json:"share_told_p17"`                         // of who would settle, responds in part, hardly responds
	Told          float64            `json:"share_told_p17_of_all"`
	Cards         map[string]float64 `json:"cards_by_reason_per_100_patients_and_day"`
	Twins         int                `json:"twins_compared,omitempty"`
	First         string             `json:"first_breach,omitempty"`
	Against       *cohortReport      `json:"against,omitempty"`
}

func (r *cohortRun) report() *cohortReport {
	t := &r.tally
	n, days := float64(max(t.Patients, 1)), float64(max(t.Nights, 1))
	rep := &cohortReport{
		Note: teaching, Plan: r.name, Patients: t.Patients, Nights: r.trial.Nights, Seed: r.trial.Seed,
		Adversarial: r.trial.Adverse,
		Partial:     r.partial(), Wanted: r.wanted, Lived: t.Nights, Breaches: t.Broken(), Broken: map[string]int{},
		AtTarget: t.Share(cohort.AtTarget), AtCeiling: t.Share(cohort.AtCeiling), AtPlateau: t.Share(cohort.AtPlateau),
		AtComfort: t.Share(cohort.AtComfort),
		Dropped:   t.Share(cohort.Dropped), Waiting: t.Share(cohort.Waiting), Underway: t.Share(cohort.Underway),
		NotEnrolled: t.Share(cohort.NotEnrolled),
		EverSettled: float64(t.Settled()) / n, Forward: float64(t.Forward) / n, BackOffs: float64(t.BackOffs) / n,
		Rests:        float64(t.Rests) / n,
		SoreMornings: float64(t.SoreMornings()) / n, PeakModerate: float64(t.PeakAtLeast(5)) / n,
		PeakSevere: float64(t.PeakAtLeast(8)) / n,
		Flags:      map[string]int{}, FlagRate: map[string]float64{}, Escalations: 100 * float64(t.Escalations) / days,
		Needless: float64(t.Needless) / n, Quiet: float64(t.Quiet) / n, Cards: map[string]float64{},
		Twins: t.Twins, First: t.First,
	}
	for i, of := range t.Ways {
		rep.Told += float64(t.Stopped[i]) / n
		rep.Stopped[i] = float64(t.Stopped[i]) / float64(max(of, 1))
	}
	for reason, cards := range t.Cards {
		rep.Cards[reason] = 100 * float64(cards) / days
	}
	if night, ok := t.Median(); ok {
		rep.Median = &night
	}
	if r.trial.Nights >= 60 {
		sore := float64(t.SoreAtTwo) / n
		rep.SoreTwoMonths = &sore
	}
	for p, x := range t.Breaches {
		rep.Broken[cohort.Promise(p).String()] = x
	}
	for i, class := range cohort.FlagClasses() {
		rep.Flags[string(rune(class))] = t.Flags[i]
		rep.FlagRate[string(rune(class))] = 100 * float64(t.Flags[i]) / days
	}
	return rep
}

// printCohort writes the report of one cohort, or of two side by side.
func printCohort(out io.Writer, format string, runs []*cohortRun) error {
	reports := make([]*cohortReport, len(runs))
	for i, r := range runs {
		reports[i] = r.report()
	}
	if format == "json" {
		if len(reports) > 1 {
			reports[0].Against = reports[1]
		}
		enc := json.NewEncoder(out)
		enc.SetIndent("", "  ")
		return enc.Encode(reports[0])
	}
	w := tabwriter.NewWriter(out, 0, 0, 3, ' ', 0)
	row := func(name string, cell func(*cohortReport) string) {
		cells := make([]string, len(reports))
		for i, r := range reports {
			cells[i] = cell(r)
		}
		fmt.Fprintf(w, "%s\t%s\n", name, strings.Join(cells, "\t"))
	}
	share := func(x float64) string { return fmt.Sprintf("%.1f %%", 100*x) }
	per := func(x float64) string { return fmt.Sprintf("%.2f", x) }
	fmt.Fprintln(w, teaching)
	for _, r := range reports {
		if r.Partial {
			fmt.Fprintf(w, "STOPPED: %d of %d patients were played under %s. The figures are of these alone.\n", r.Patients,
				r.Wanted, r.Plan)
		}
	}
	fmt.Fprintln(w)
	row("plan", func(r *cohortReport) string { return r.Plan })
	row("virtual patients, nights each, seed", func(r *cohortReport) string {
		return fmt.Sprintf("%d, %d, %d", r.Patients,
			r.Nights, r.Seed)
	})
	fmt.Fprintln(w, "\nWhere they stand at the end\t")
	row("  at target: snoring settled, or proved by a test", func(r *cohortReport) string { return share(r.AtTarget) })
	row("  at the ceiling, and it still snores", func(r *cohortReport) string { return share(r.AtCeiling) })
	row("  plateau: steps no longer help", func(r *cohortReport) string { return share(r.AtPlateau) })
	row("  at the limit of comfort", func(r *cohortReport) string { return share(r.AtComfort) })
	row("  dropped", func(r *cohortReport) string { return share(r.Dropped) })
	row("  waits for a person", func(r *cohortReport) string { return share(r.Waiting) })
	row("  under way: settling, stepping, resting", func(r *cohortReport) string { return share(r.Underway) })
	row("  the plan does not fit them", func(r *cohortReport) string { return share(r.NotEnrolled) })
	fmt.Fprintln(w, "\nOn the way\t")
	row("  nights to target, median of those who got there", func(r *cohortReport) string {
		if r.Median == nil {
			return "nobody did"
		}
		return fmt.Sprint(*r.Median)
	})
	row("  snoring settled some night", func(r *cohortReport) string { return share(r.EverSettled) })
	row("  steps forward per patient", func(r *cohortReport) string { return per(r.Forward) })
	row("  back-offs per patient", func(r *cohortReport) string { return per(r.BackOffs) })
	row("  rests per patient", func(r *cohortReport) string { return per(r.Rests) })
	row("  sore mornings per patient", func(r *cohortReport) string { return per(r.SoreMornings) })
	row("  worst morning moderate or severe, 5 to 10", func(r *cohortReport) string { return share(r.PeakModerate) })
	row("  worst morning severe, 8 to 10", func(r *cohortReport) string { return share(r.PeakSevere) })
	row("  sore on most mornings at two months", func(r *cohortReport) string {
		if r.SoreTwoMonths == nil {
			return "too few nights"
		}
		return share(*r.SoreTwoMonths)
	})
	row("  at target, and quiet in truth", func(r *cohortReport) string { return share(r.Quiet) })
	row("  steps from a setting settled in truth, per patient", func(r *cohortReport) string { return per(r.Needless) })
	row("  told that steps may not help (P17)", func(r *cohortReport) string { return share(r.Told) })
	row("    of who would settle", func(r *cohortReport) string { return share(r.Stopped[0]) })
	row("    of who responds in part", func(r *cohortReport) string { return share(r.Stopped[1]) })
	row("    of who hardly responds", func(r *cohortReport) string { return share(r.Stopped[2]) })
	fmt.Fprintln(w, "\nFor the practice, per 100 patients and day\t")
	row("  escalations", func(r *cohortReport) string { return per(r.Escalations) })
	for _, reason := range commonest(reports[0].Cards) {
		row("    for "+reason, func(r *cohortReport) string { return per(r.Cards[reason]) })
	}
	for _, class := range cohort.FlagClasses() {
		c := string(rune(class))
		row("  red flags of class "+c, func(r *cohortReport) string { return per(r.FlagRate[c]) })
	}
	fmt.Fprintln(w, "\nSafety\t")
	row("  broken promises of the rules", func(r *cohortReport) string { return fmt.Sprint(r.Breaches) })
	for p := range cohort.NumPromises {
		name := p.String()
		row("    "+name, func(r *cohortReport) string { return fmt.Sprint(r.Broken[name]) })
	}
	if len(reports) == 2 {
		fmt.Fprintf(w, "\n%s\n", versus(reports[0], reports[1]))
	}
	return w.Flush()
}

// commonest lists the eight commonest reasons of cards.
func commonest(cards map[string]float64) []string {
	reasons := slices.SortedFunc(maps.Keys(cards), func(a, b string) int {
		return cmp.Or(cmp.Compare(cards[b], cards[a]), cmp.Compare(a, b))
	})
	return reasons[:min(len(reasons), 8)]
}

// versus says in a sentence what the second plan costs and saves.
func versus(a, b *cohortReport) string {
	differs := func(x, y float64, more, less string) string {
		if y >= x {
			return fmt.Sprintf("%.2f %s", y-x, more)
		}
		return fmt.Sprintf("%.2f %s", x-y, less)
	}
	nights := "whose nights to target cannot be compared"
	if a.Median != nil && b.Median != nil {
		nights = fmt.Sprintf("%+d nights to target at the median", *b.Median-*a.Median)
	}
	return fmt.Sprintf("The second plan beside the first: %+.1f points settled some night, %s; a patient, %s, %s.",
		100*(b.EverSettled-a.EverSettled), nights, differs(a.SoreMornings, b.SoreMornings, "sore mornings more",
			"sore mornings fewer"), differs(a.BackOffs, b.BackOffs, "back-offs more", "back-offs fewer"))
}

// printSources prints what the model rests on.
func printSources(out io.Writer) error {
	fmt.Fprintln(out, "A model for teaching and for testing the rules, not for setting a patient's plan.")
	for _, p := range cohort.Parameters() {
		if _, err := fmt.Fprintf(out, "\n%s: %s\n    %s\n", p.Name, p.Value, p.Source); err != nil {
			return err
		}
	}
	return nil
}
