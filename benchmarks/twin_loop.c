/* The day loop in C, of the same steps as simulate/kernel.py, for members side by side in lanes.
 * Left out: digging in, sums by lift. The steps come from twin_steps.h, written by twin.py. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

static inline double least(double a, double b) { return b < a ? b : a; }
static inline double most(double a, double b) { return b > a ? b : a; }

#ifdef OWN_EXPONENTIAL /* in place, as the day loop does it; else the library's vector routine */
static inline __attribute__((always_inline)) double exponential(double x)
{
    x = most(least(x, 709.0), -708.0);
    const double n = __builtin_rint(x * 1.4426950408889634);
    const double r = (x - n * 6.93147180369123816490e-01) - n * 1.90821492927058770002e-10;
    double series = 1.0 / 6227020800.0;
    series = series * r + 1.0 / 479001600.0;
    series = series * r + 1.0 / 39916800.0;
    series = series * r + 1.0 / 3628800.0;
    series = series * r + 1.0 / 362880.0;
    series = series * r + 1.0 / 40320.0;
    series = series * r + 1.0 / 5040.0;
    series = series * r + 1.0 / 720.0;
    series = series * r + 1.0 / 120.0;
    series = series * r + 1.0 / 24.0;
    series = series * r + 1.0 / 6.0;
    series = series * r + 0.5;
    series = series * r + 1.0;
    series = series * r + 1.0;
    const long bits = ((long)n + 1023) << 52;
    double power;
    __builtin_memcpy(&power, &bits, sizeof power);
    return series * power;
}
#define exp exponential
#endif

#include "twin_steps.h"

enum { LAY, POUR, RAKE_OFF, DIG_IN, FEED };
#define SMALLEST 0.02

#define SLOT(c) (slots + (long)(c) * R_SLOT_ROWS)

static void look_for_members(long laid, const double *slots, long *standing, long *heads)
{
    for (long c = 0; c < laid; c++) {
        const double *slot = SLOT(c);
        int head = 0, holds = 0;
        for (int lane = 0; lane < LANES; lane++)
            head |= slot[R_HEAD + lane] > 0.0;
        for (int k = 0; k < R_AGE; k++)
            holds |= slot[k] != 0.0;
        heads[c] = head;
        standing[c] = head | holds;
    }
}

static void tidy(long laid, double *slots, double *column, long *standing, long *heads)
{
    begin_measure(column);
    for (long c = laid - 1; c >= 0; c--)
        measure(SLOT(c), column);
    begin_merging(column);
    for (long c = laid - 1; c >= 0; c--)
        merge_thin(SLOT(c), column);
    drop_on_soil(column);
    for (long c = 0; c < laid; c++)
        join_soil(SLOT(c), column);
    begin_measure(column);
    for (long c = laid - 1; c >= 0; c--)
        measure(SLOT(c), column);
    look_for_members(laid, slots, standing, heads);
}

void run_members(
    long members, long days, long every, long start_day, long cohorts, long lifts, long events, long outputs,
    long parameters, double retained_share,
    const double *air, const double *rain, const double *reference, const double *radiation, const long *year_of,
    const double *kcb, const double *crop_cover, const double *want, const double *records, double *soil,
    const double *start_pools, double *residue, const double *draws, const long *cohort_lift,
    const long *cohort_sublayer, const double *cohort_part, const long *event_day, const long *event_kind,
    double *event_values, const long *wanted, double *out, double *ledgers, double *books)
{
    double *slots = aligned_alloc(64, (cohorts + 1) * R_SLOT_ROWS * sizeof(double));
    double *column = aligned_alloc(64, R_COLUMN_ROWS * sizeof(double));
    long *standing = calloc(cohorts + 1, sizeof(long)), *heads = calloc(cohorts + 1, sizeof(long));
    const long rows = days / every;
    const double start_water = soil[4], start_ammonium = soil[5], start_nitrate = soil[6], warmth = soil[7];

    for (long block = 0; block < members; block += LANES) {
        const long width = members - block < LANES ? members - block : LANES;
        long laid = 0, event = 0;
        long member_of[LANES];
        memset(slots, 0, cohorts * R_SLOT_ROWS * sizeof(double));
        memset(column, 0, R_COLUMN_ROWS * sizeof(double));
        memset(standing, 0, cohorts * sizeof(long));
        memset(heads, 0, cohorts * sizeof(long));
        for (int lane = 0; lane < LANES; lane++) {
            const long member = block + (lane < width ? lane : width - 1);
            member_of[lane] = member;
            for (long k = 0; k < parameters; k++)
                column[R_RECORD + LANES * k + lane] = records[member * parameters + k];
            for (int k = 0; k < 7; k++)
                column[R_DPM + LANES * k + lane] = start_pools[k];
            const double factor = column[R_MINERAL_NITROGEN_FACTOR + lane];
            const double response = temperature_response(warmth, column[R_WARMTH_EXPONENT + lane]);
            for (int h = 0; h < 3; h++) {
                column[R_SOIL_WATER + LANES * h + lane] = start_water * soil[0] * HORIZON_MM[h];
                column[R_SOIL_AMMONIUM + LANES * h + lane] = start_ammonium / 3.0 * factor;
                column[R_SOIL_NITRATE + LANES * h + lane] = start_nitrate / 3.0 * factor;
                column[R_SOIL_WARMTH + LANES * h + lane] = warmth;
                column[R_SOIL_RESPONSE + LANES * h + lane] = response;
            }
            for (long c = 0; c < cohorts; c++) {
                double *slot = SLOT(c);
                slot[R_CARBON_DENSITY + lane] = slot[R_DENSITY + lane] = slot[R_LAID_DENSITY + lane] = 1.0;
                slot[R_BIOMASS_RATIO + lane] = slot[R_PRODUCT_RATIO + lane] = 1.0;
                slot[R_BIOMASS_RATIO_BURIED + lane] = slot[R_PRODUCT_RATIO_BURIED + lane] = 1.0;
            }
        }
        open_books(column);
        while (event < events && event_day[event] < start_day)
            event++;
        for (long day = start_day; day < days; day++) {
            double poured = 0.0;
            int changed = 0, rainy = 0, thin = 0;
            for (int lane = 0; lane < LANES; lane++) {
                const long place = year_of[member_of[lane]] * days + day;
                column[R_AIR + lane] = air[place];
                column[R_PRECIPITATION + lane] = rain[place];
                column[R_REFERENCE + lane] = reference[place];
                column[R_RADIATION + lane] = radiation[place];
            }
            for (; event < events && event_day[event] == day; event++) {
                double *values = event_values + 4 * event;
                if (event_kind[event] == LAY) {
                    const long lift = (long)values[0];
                    long head = 0;
                    for (int lane = 0; lane < LANES; lane++)
                        for (int k = 0; k < 5; k++)
                            column[R_LOT + LANES * k + lane] = draws[(member_of[lane] * lifts + lift) * 5 + k];
                    while (laid < cohorts && cohort_lift[laid] <= lift)
                        laid++;
                    begin_laying(column);
                    for (long c = 0; c < laid; c++) {
                        if (c > 0 && cohort_sublayer[c] != cohort_sublayer[c - 1])
                            head = c;
                        if (cohort_lift[c] == lift) {
                            lay_cohort(cohort_part[c], residue + 9 * lift, SLOT(c), column);
                            lay_sublayer(SLOT(head), column);
                        }
                    }
                    changed = 1;
                } else if (event_kind[event] == POUR) {
                    poured += values[0];
                } else if (event_kind[event] == RAKE_OFF) {
                    for (long c = 0; c < laid; c++)
                        rake_off(values[0], SLOT(c), column);
                    changed = 1;
                } else {
                    feed(values, column);
                }
            }
            for (int lane = 0; lane < LANES; lane++) {
                column[R_POURED + lane] = poured;
                column[R_CHANGED + lane] = 1.0;
            }
            if (changed)
                tidy(laid, slots, column, standing, heads);
            if (soil[3] > 0.0)
                keep_moist(column, soil);

            meet_the_sky(crop_cover[day], kcb[day], column);
            for (int lane = 0; lane < LANES; lane++)
                rainy |= column[R_FALLING + lane] > 0.0;
            for (long c = laid - 1; c >= 0; c--)
                if (heads[c]) {
                    if (rainy)
                        catch_rain(SLOT(c), column);
                    dry_out(SLOT(c), column);
                }
            reach_the_soil(crop_cover[day], soil, column);
            begin_upward(column);
            for (long c = 0; c < laid; c++)
                if (standing[c]) {
                    if (heads[c]) {
                        touch_and_warm(SLOT(c), soil, column);
                        set_the_pace(SLOT(c), column);
                    }
                    if (rainy)
                        wash_out(SLOT(c), column);
                    begin_decay(SLOT(c), column);
                }
            drink_and_drain(kcb[day], soil, column);
            begin_downward(column);
            for (long c = laid - 1; c >= 0; c--)
                if (standing[c]) {
                    settle_cohort(SLOT(c), column);
                    if (heads[c])
                        settle_sublayer(SLOT(c), column);
                }
            turn_at_the_soil(soil, column);
            for (long c = 0; c < laid; c++)
                if (standing[c]) {
                    if (heads[c])
                        spread_and_mix(SLOT(c), column);
                    mix_and_settle(SLOT(c), column);
                }
            for (long c = laid - 1; c >= 0; c--)
                if (heads[c])
                    lose_gas(SLOT(c), column);
            get_and_nitrify(soil, column);
            for (int lane = 0; lane < LANES; lane++) {
                const int thinner = column[R_THINNEST + lane] < SMALLEST;
                column[R_CHANGED + lane] = thinner ? 1.0 : 0.0;
                thin |= thinner;
            }
            if (thin)
                tidy(laid, slots, column, standing, heads);
            turn_over_humus(kcb[day], soil, retained_share, column);
            feed_crop(want[day], column);
            begin_count(column);
            for (long c = 0; c < laid; c++)
                if (heads[c])
                    count_sublayer(SLOT(c), column);
            close_books((double)day, column);
            look_below_zero((double)day, column);
            if ((day + 1) % every == 0) {
                double *target = out + ((block / LANES) * rows + day / every) * outputs * LANES;
                write_outputs(soil, column);
                for (long w = 0; w < outputs; w++)
                    memcpy(target + w * LANES, column + R_OUTPUTS + LANES * wanted[w], LANES * sizeof(double));
            }
        }
        for (int lane = 0; lane < width; lane++) {
            for (int k = 0; k < LEDGER_ROWS; k++)
                ledgers[(block + lane) * LEDGER_ROWS + k] = column[R_LEDGER + LANES * k + lane];
            for (int k = 0; k < BOOK_ROWS; k++)
                books[(block + lane) * BOOK_ROWS + k] = column[R_BOOKS + LANES * k + lane];
        }
    }
    free(slots);
    free(column);
    free(standing);
    free(heads);
}
