"""The report of a plan: one page of HTML that asks nothing of the network and works without script."""

# ruff: noqa: E501 - strings of SVG and HTML are kept whole, they read worse when broken

from __future__ import annotations

from datetime import date
from html import escape

from mullbed.domain.bed import Bed
from mullbed.domain.forecast import BedForecast
from mullbed.domain.garden import Garden, UnitSystem
from mullbed.domain.season_plan import PlannedLayer, SeasonPlan
from mullbed.language import say
from mullbed.reports import pigments
from mullbed.reports.amounts import (
    area_words,
    cans_words,
    is_us,
    layer_thickness_mm,
    lift_amount,
    millimetres_words,
    per_area_factor,
    per_area_unit,
    volume_words,
)
from mullbed.reports.bed_cut import cut_drawing
from mullbed.reports.cautions import caution_class, caution_parts, dated_line
from mullbed.reports.cut_scene import bare_cut, planned_cut
from mullbed.reports.fact_rows import publications
from mullbed.reports.names import bed_title, crop_name, residue_name
from mullbed.reports.nitrogen_line import below_line
from mullbed.reports.reasons import (
    answer_words,
    layer_dont,
    layer_gives,
    layer_net,
    layer_why,
    shortage_words,
    unmet_words,
)
from mullbed.reports.report_style import STYLE
from mullbed.reports.report_tables import answers_table, gather_table, values_table
from mullbed.reports.season_axis import Axis, months_axis
from mullbed.reports.season_ribbons import Ribbon, bed_chart, patterns, ribbon_svg, scale_bar
from mullbed.reports.signs import sign
from mullbed.reports.supply_picture import supply_section
from mullbed.reports.terminal_forecast import forecast_sentence
from mullbed.reports.what_else import instead_words, worth_saying, worth_words
from mullbed.reports.words import capital, counted, day_words, listed, number, short_day, times_words, weekday_words

_WIDE, _SMALL = 760.0, 350.0


def report_html(plan: SeasonPlan, garden: Garden, *, units: UnitSystem, made_on: date) -> str:
    """Return report.html.

    Reads plan and garden; raises nothing; the day it was made is handed in.
    """
    forecasts = [plan.forecasts[bed.name] for bed in garden.beds if bed.name in plan.forecasts]
    body = [
        _header(plan, garden, units),
        "<main>",
        _season(plan, garden, units, made_on),
        *(_bed(bed, plan, units) for bed in garden.beds),
        _gather(plan),
        supply_section(plan),
        _short(plan, units),
        _care(plan),
        _method(plan, made_on),
        "</main>",
    ]
    title = f"{plan.garden}: {answer_words(plan)}"
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width,initial-scale=1">'
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">"
        f"<title>{escape(title)}</title><style>{STYLE}</style></head><body>"
        f"{patterns(forecasts, 3.7)}{''.join(body)}</body></html>\n"
    )


def _header(plan: SeasonPlan, garden: Garden, units: UnitSystem) -> str:
    period = f"{day_words(plan.first_day)} to {day_words(plan.last_day)}"
    factor, unit = per_area_factor(units), per_area_unit(units)
    visits = len({planned.layer.day for planned in plan.layers})
    minutes = sum(planned.minutes for planned in plan.layers)
    given = [fed.layers.mid for fed in plan.rehearsal.values()]
    lead = (
        f"{capital(counted(len(plan.layers), 'layer'))} on {counted(visits, 'day')}, about {number(minutes / 60)} hours of work "
        f"in all. "
    )
    if given:
        low, high = number(min(given) * factor), number(max(given) * factor)
        amount = low if low == high else f"between {low} and {high}"
        lead += f"The layers give {amount} {unit} of nitrogen, bed by bed; worked out, not measured."
    links = "".join(f'<li><a href="#{_anchor(bed)}">{escape(bed_title(bed.name))}</a></li>' for bed in garden.beds)
    return (
        f'<header><div class="top"><span>{escape(plan.garden)}, season of {plan.first_day.year}</span>'
        f"<span>{escape(period)}</span></div><h1>{escape(answer_words(plan))}</h1>"
        f'<p class="lead">{escape(lead)}</p><nav aria-label="Beds"><ul>{links}</ul></nav></header>'
    )


def _anchor(bed: Bed) -> str:
    return "bed-" + "".join(sign if sign.isalnum() else "-" for sign in bed.name.casefold())


def _season(plan: SeasonPlan, garden: Garden, units: UnitSystem, made_on: date) -> str:
    rows = []
    for bed in garden.beds:
        forecast = plan.forecasts.get(bed.name)
        if forecast is None:
            continue
        title = f"{bed_title(bed.name)} through the season"
        short = _short_days(plan, bed)
        pictures = "".join(
            f'<div class="{kind}">{ribbon_svg(forecast, plan.first_day, title, Ribbon(width), units=units, today=made_on, short_on=short)}</div>'
            for kind, width in (("wide", _WIDE), ("small", _SMALL))
        )
        rows.append(
            f'<div class="row"><div class="head"><div class="name"><b>{escape(bed.name)}</b><br>{escape(_crops(bed))}</div>'
            f'<div class="next">{escape(_next(plan, bed))}</div></div><div class="pic">{pictures}</div></div>'
        )
    axis = "".join(
        f'<div class="{kind}"><svg class="ribbon" viewBox="0 0 {width:.0f} 28" aria-hidden="true">'
        f"{months_axis(Axis(plan.first_day, (plan.last_day - plan.first_day).days + 1, width), 20, narrow=width < 500)}</svg></div>"
        for kind, width in (("wide", _WIDE), ("small", _SMALL))
    )
    sentence = (
        "Heights to one scale, widths are days. Solid lines lie already; dashed ones are planned. Each layer sinks as "
        "modelled and darkens as it rots."
    )
    return (
        f'<section aria-labelledby="season"><h2 id="season">The season of all beds</h2>'
        f'<div class="row"><div class="pic">{axis}</div></div>{"".join(rows)}'
        f'<div class="row"><div class="pic">{scale_bar(3.7, units)}</div></div><p>{sentence}</p></section>'
    )


def _crops(bed: Bed) -> str:
    return listed(list(dict.fromkeys(crop_name(crop.crop) for crop in bed.crops))[:3])


def _short_days(plan: SeasonPlan, bed: Bed) -> tuple[date, ...]:
    """Middle of each month in which something runs short on this bed."""
    months = {one.month for one in plan.shortages if one.bed == bed.name and one.month}
    return tuple(date(int(month[:4]), int(month[5:7]), 15) for month in sorted(months))


def _visits(plan: SeasonPlan, bed: Bed) -> list[PlannedLayer]:
    return sorted((one for one in plan.layers if one.layer.bed == bed.name), key=lambda one: one.layer.day)


def _next(plan: SeasonPlan, bed: Bed) -> str:
    visits = _visits(plan, bed)
    if not visits:
        return "Leave it be"
    amounts = ", ".join(lift_amount(lift) for lift in visits[0].layer.lifts)
    return f"{short_day(visits[0].layer.day)}: {amounts}"


def _bed(bed: Bed, plan: SeasonPlan, units: UnitSystem) -> str:
    forecast = plan.forecasts.get(bed.name)
    visits = _visits(plan, bed)
    name = bed_title(bed.name)
    under = ", ".join(part for part in (capital(_crops(bed)), area_words(bed.area, units), bed.soil.texture) if part)
    parts = [
        f'<section class="bed" aria-labelledby="{_anchor(bed)}"><h2 id="{_anchor(bed)}">{escape(name)}: {escape(_bed_answer(bed, plan))}</h2>'
        f"<p>{escape(under)}.</p>"
    ]
    if forecast is not None:
        parts.append(_chart(forecast, plan, name, units))
    cut = planned_cut(visits[0], bed, forecast, units) if visits else bare_cut(bed, forecast, plan.first_day, units)
    drawing = cut_drawing(cut, scale=11.0, inches=is_us(units), width_centimetres=10.0)
    heading = f"{name} cut open on {day_words(visits[0].layer.day)}" if visits else f"{name} cut open"
    picture = (
        f"<div><h3>{escape(heading)}</h3>{drawing.svg}"
        '<p class="quiet">A slice of the bed. Heights and pieces to one scale.</p></div>'
    )
    parts.append(f'<div class="two"><div>{_layers(visits, units)}</div>{picture}</div>')
    if bed.name in plan.rehearsal:
        parts.append(answers_table(plan.promise[bed.name], plan.rehearsal[bed.name], plan.budget.get(bed.name), units))
    parts.append("</section>")
    return "".join(parts)


def _instead(planned: PlannedLayer) -> str:
    if planned.instead is None:
        return ""
    return f"{escape(instead_words(planned.instead))}<br>"


def _bed_answer(bed: Bed, plan: SeasonPlan) -> str:
    visits = _visits(plan, bed)
    if not visits:
        return "leave it be this season."
    days = [short_day(one.layer.day) for one in visits]
    if len(days) > 4:
        return f"{counted(len(days), 'layer')}, from {days[0]} to {days[-1]}."
    return f"{counted(len(days), 'layer')}, on {listed(days)}."


def _chart(forecast: BedForecast, plan: SeasonPlan, name: str, units: UnitSystem) -> str:
    sentence = forecast_sentence(forecast, units)
    title = f"{name} through the season, layers above the soil line, nitrogen below"
    weekly = below_line(forecast, units).weekly
    unit = per_area_unit(units)
    told = (
        f"nitrogen given to the roots, in {unit} a week; dots are what the crop wants"
        if weekly
        else f"nitrogen the layers have given so far, in {unit}; dots are what the crop wants beyond the soil's own"
    )
    charts = "".join(
        f'<div class="{kind}">{bed_chart(forecast, plan.first_day, title, sentence, units, width=width, scale=scale)}</div>'
        for kind, width, scale in (("wide", 1140.0, 9.0), ("small", _SMALL, 7.0))
    )
    return (
        f"{charts}<p>{escape(sentence)} Above the line: the layers, to one scale, sinking. Below it: {escape(told)}; "
        "stripes are where 8 years in 10 fall. Up into the cover is taken. Worked out, not measured.</p>"
        f"<details><summary>All values as a table</summary>{values_table(forecast, units)}</details>"
    )


def _layers(visits: list[PlannedLayer], units: UnitSystem) -> str:
    if not visits:
        return "<h3>Layers</h3><p>Nothing is planned here.</p>"
    items = []
    for planned in visits:
        lifts = ", then ".join(
            f"<u>{escape(lift_amount(lift))}</u> of {escape(residue_name(lift.residue))}"
            for lift in planned.layer.lifts
        )
        water = (
            f", <u>{escape(cans_words(planned.cans))}</u> of water ({volume_words(planned.litres, units)})"
            if planned.litres > 0
            else ""
        )
        dont, second = layer_dont(planned)
        items.append(
            f"<li><b>{escape(weekday_words(planned.layer.day))}</b>, {millimetres_words(layer_thickness_mm(planned.layer), units)} deep: "
            f"{lifts}{water}.<br>Why: {escape(layer_why(planned, units))}<br>{_instead(planned)}{escape(layer_gives(planned))} {escape(layer_net(planned, units))}"
            f'<div class="dont">{sign("sticks", size=34, colour=pigments.SINOPIA)}<span><b>Don\'t</b> {escape(dont)} {escape(second)}</span></div></li>'
        )
    return f'<h3>Layers, from the soil up</h3><ul class="plan">{"".join(items)}</ul>'


def _gather(plan: SeasonPlan) -> str:
    left = [f"{number(count)} from {name}" for name, count in plan.supply_left.items() if count > 0.05]
    leftover = f"<p>Left over or spoilt at the end: {escape(', '.join(left))}.</p>" if left else ""
    held = "".join(
        f"<p>Held back: {escape(residue_name(name))}{escape(f' until {day_words(until)}' if until else '')}, because of {escape(why)}.</p>"
        for name, why, until in plan.held
    )
    content = gather_table(plan) if plan.gather else "<p>Nothing to gather.</p>"
    return f'<section aria-labelledby="gather"><h2 id="gather">What to gather</h2>{content}{leftover}{held}</section>'


def _short(plan: SeasonPlan, units: UnitSystem) -> str:
    lines = [shortage_words(shortage) for shortage in plan.shortages]
    lines += [
        words for bed, months in plan.unmet.items() if "nothing" not in (words := unmet_words(bed, months, units))
    ]
    told = "".join(f"<li>{escape(line)}</li>" for line in lines) or "<li>Nothing stays short.</li>"
    more = "".join(f"<li>{escape(worth_words(one))}</li>" for one in worth_saying(plan))
    if more:
        more = f"<h3>{escape(say('What a little more would be worth'))}</h3><ul>{more}</ul>"
    return f'<section aria-labelledby="short"><h2 id="short">What stays short</h2><ul>{told}</ul>{more}</section>'


def _care(plan: SeasonPlan) -> str:
    keys = tuple(dict.fromkeys(key for planned in plan.layers for key in planned.cautions))
    items = "".join(
        f'<li><b>{escape(word)}.</b> {escape(text)} <span class="quiet">({escape(caution_class(key))})</span></li>'
        for key in keys
        for word, text in (caution_parts(key),)
    )
    return (
        f'<section aria-labelledby="care"><h2 id="care">Take care</h2>{f"<ul>{items}</ul>" if items else ""}'
        f"<p>{escape(dated_line(keys))}</p></section>"
    )


def _method(plan: SeasonPlan, made_on: date) -> str:
    outcomes, balance = plan.outcomes, plan.balance
    corrected = f"It was corrected and chosen again {times_words(plan.corrections)}. " if plan.corrections else ""
    sentences = (
        f"A daily model of carbon, nitrogen, water and warmth ran {outcomes.simulated_seasons:,} seasons: "
        f"{counted(outcomes.classes, 'kind')} of bed, {outcomes.candidates} candidate layers, {outcomes.members} members each. "
        f"The plan chosen is within {plan.gap * 100:.1f} % of the best there can be among them. {corrected}"
        "It was then simulated as a whole: that is the rehearsal.",
        "Ranges are the 10th and the 90th percentile. Underlines tell how a number is known: solid, you measured it; "
        "double, published; dashed, worked out; dotted, a guess.",
        f"Largest error of the balances: carbon {balance.carbon:.1e}, nitrogen {balance.nitrogen:.1e}, water {balance.water:.1e}.",
        f"Weather: {plan.weather}. Seed {plan.seed}. Made on {day_words(made_on, year=True)}.",
    )
    sources = "".join(f"<li>{escape(line)}</li>" for line in publications(_sources(plan)))
    told = "".join(f"<p>{escape(sentence)}</p>" for sentence in sentences)
    return (
        f'<section aria-labelledby="method"><h2 id="method">How this was worked out</h2>{told}'
        f"<h3>Sources</h3><ul>{sources}</ul></section>"
    )


def _sources(plan: SeasonPlan) -> set[str]:
    """Keys of the publications behind the residues laid and the cautions given."""
    from mullbed.reference.hazards import all_hazards
    from mullbed.reference.residues import all_residues

    keys = {"mullbed_model"}
    for planned in plan.layers:
        for lift in planned.layer.lifts:
            row = all_residues().get(lift.residue)
            if row is not None:
                keys |= {one.source for one in (row.carbon, row.nitrogen, row.moisture, row.phosphorus, row.lignin)}
        keys |= {all_hazards()[key].source for key in planned.cautions if key in all_hazards()}
    return {key for key in keys if key}
