"""The fields of the job sheet, as they stand in the job's document, each with its hint and what is wrong with it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any, Final

from webapp.costing.catalogue.kinds import CUT_STOCK, Kind
from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.design_form.reader import read_design
from webapp.costing.designs.fitting import what_counts
from webapp.costing.designs.model import Design
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs
from webapp.costing.jobs.job import FACTS, LINE_KINDS, NOVELTIES
from webapp.costing.jobs.pasted_lines import read_pasted_lines
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.measures.written import System, as_shown, format_quantity, write_quantity
from webapp.costing.settings.table import SETTINGS_BY_NAME
from webapp.costing.settings.typed import show_setting
from webapp.pages.part_lists.rows import LIST_WORDS, MOST_IN_FIELDS, ListFields, build_list, is_list
from webapp.pages.sheet.form import NEW_LINE, in_field
from webapp.pages.sheet.problems import Sorted
from webapp.pages.sheet.stock import Options, Stock, fill_place
from webapp.pages.sheet.words import ordered_sizes, rack_answers
from webapp.pages.shown.way import way_fields
from webapp.pages.web.fields import Field

PASTED_LINES: Final = "Kind, what for, how many, minutes each, cost each; with a heading in any order."
LABEL_HINTS: Final = {False: "the design's name where empty", True: "“Parts” where empty"}
NOVELTY_WORDS: Final = {"repeat": "done before", "known": "of a known kind", "new": "of a new kind"}


@dataclass(frozen=True, slots=True)
class ItemFields:
    """A design to be made: what it is, and its fields."""

    id: str
    design: str
    design_href: str
    hidden: tuple[Field, ...]
    version: Field | None
    label: Field
    quantity: Field
    sizes: tuple[Field, ...]
    choices: tuple[Field, ...]
    main_stock: tuple[Field, ...]
    other_stock: tuple[Field, ...]
    problems: tuple[str, ...]
    jigs: Field
    listed: ListFields | None = None

    def each(self) -> Iterator[Field]:
        """Every field that is seen."""
        yield from (
            self.label, self.quantity, self.jigs, *self.sizes, *self.choices, *self.main_stock, *self.other_stock,
        )  # fmt: skip
        if self.version is not None:
            yield self.version
        if self.listed is not None:
            yield from self.listed.each()


@dataclass(frozen=True, slots=True)
class LineFields:
    """A free line."""

    id: str
    kind: Field
    says: Field
    quantity: Field
    minutes: Field
    cost: Field
    hire: tuple[Field, ...]
    problems: tuple[str, ...]
    is_new: bool

    def each(self) -> Iterator[Field]:
        """Every field of the row."""
        yield from (self.kind, self.says, self.quantity, self.minutes, self.cost, *self.hire)


@dataclass(frozen=True, slots=True)
class SettingFields:
    """A setting of the shop that this job has otherwise."""

    name: str
    value: Field
    why: Field


@dataclass(frozen=True, slots=True)
class JobFields:
    """All fields of the sheet."""

    title: Field
    customer: tuple[Field, ...]
    address: Field
    site: Field
    items: tuple[ItemFields, ...]
    lines: tuple[LineFields, ...]
    pasted: Field
    left: tuple[str, ...]
    delivery: tuple[Field, ...]
    install: Field
    way: tuple[Field, ...]
    rack: Field
    novelty: Field | None
    discount: Field | None
    card: Field | None
    facts: tuple[Field, ...]
    settings: tuple[SettingFields, ...]
    notes: Field
    not_included: Field

    @property
    def any_fact(self) -> bool:
        """Whether anything stands in the fields that few jobs need."""
        return any(field.value or field.problem for field in self.facts)

    def each(self) -> Iterator[Field]:
        """Every field that is seen, in the sheet's order."""
        yield from (self.title, *self.customer, self.address, self.site)
        for item in self.items:
            yield from item.each()
        yield self.rack
        for line in self.lines:
            yield from line.each()
        yield from (self.pasted, *self.delivery, self.install, *self.way)
        yield from (field for field in (self.novelty, self.discount, self.card) if field is not None)
        yield from self.facts
        for setting in self.settings:
            yield from (setting.value, setting.why)
        yield from (self.notes, self.not_included)


class FieldBuilder:
    """Builds the fields of one document. `stock` and `versions` may be empty where only hints and problems are sent;
    without `terms` there are no fields of what an owner sets: free lines, contingency, discount and settings."""

    def __init__(
        self, document: Mapping[str, Any], inputs: Inputs, estimate: Estimate, sorted_: Sorted, stock: Stock,
        versions: Mapping[str, tuple[int, ...]], *, terms: bool = True,
        left: Mapping[str, tuple[str, ...]] = MappingProxyType({}),
    ) -> None:  # fmt: skip
        self.terms, self.left = terms, left
        self.document, self.inputs, self.estimate = document, inputs, estimate
        self.sorted, self.stock, self.versions = sorted_, stock, versions
        self.system: System = inputs.system
        self.taken = {item.id: item.take_off for item in estimate.items}
        self.counts = {
            name: what_counts(taken.design, {*taken.choices.values(), self.system})
            for name, taken in self.taken.items()
        }

    def build(self) -> JobFields:
        """All fields."""
        document = self.document
        customer, delivery = document.get("customer", {}), document.get("delivery", {})
        return JobFields(
            title=self.field("job", "What the job is called", document, "Stands at the head of the quote."),
            customer=(
                self.field("customer.name", "Name", customer, "Who the quote is made out to."),
                self.field("customer.email", "Mail", customer),
                self.field("customer.phone", "Telephone", customer),
                self.field("customer.tax_number", "Tax number", customer, "Printed on the quote, where it is typed."),
            ),
            address=self.field("customer.address", "Address", customer),
            site=self.field("site", "Where it goes", document, "The room or floor, for those who deliver."),
            items=tuple(self.item(item) for item in document.get("items", ())),
            lines=self.lines(),
            pasted=self.field("pasted", "Paste rows as added lines", document, PASTED_LINES),
            left=read_pasted_lines(str(document.get("pasted", "")), self.system).sentences,
            delivery=(
                self.field("due", "Wanted by", document, "A day, as 2026-12-20; the list of jobs is sorted by it."),
                self.field("delivery.distance", "Distance, there and back", delivery, "in km or mi"),
                self.field("delivery.travel", "Time on the road, there and back", delivery, "minutes, or 1 h 20 min"),
                self.field("delivery.people", "People on the trip", delivery, "1 where empty"),
            ),
            install=self.field("install", "Set up and install on site", document, "Adds the steps on site."),
            way=way_fields(document.get("way", {}), self.sorted.fields),
            rack=self.field("rack", "Offcuts on the rack", document, options=rack_answers(self.inputs.rates)),
            novelty=self.novelty() if self.terms else None,
            discount=self.discount() if self.terms else None,
            card=self.field("card", "The customer pays by card", document, "Adds the fee.") if self.terms else None,
            settings=self.settings(),
            facts=self.facts(),
            notes=self.field("notes", "Notes for the shop", document, "Never on the quote."),
            not_included=Field(
                "not_included", "Not included", "\n".join(document.get("not_included", ())),
                "One on each line; the quote prints them.", self.sorted.fields.get("not_included", ""),
            ),
        )  # fmt: skip

    def field(self, name: str, label: str, held: Mapping[str, Any], hint: str = "", options: Options = ()) -> Field:
        """A field whose text stands in `held` under the last part of its name."""
        value = held.get(name.rpartition(".")[2], "")
        text = value if isinstance(value, str) else ""
        return Field(name, label, in_field(name, text), hint, self.sorted.fields.get(name, ""), options)

    def lines(self) -> tuple[LineFields, ...]:
        """The free lines and the empty row beneath them."""
        if not self.terms:
            return ()
        return (*(self.line(line) for line in self.document.get("lines", ())), self.line({"id": NEW_LINE}))

    def settings(self) -> tuple[SettingFields, ...]:
        """The settings that the job has otherwise."""
        held = self.document.get("settings", {}) if self.terms else {}
        return tuple(self.setting(name, entry) for name, entry in held.items())

    def discount(self) -> Field:
        """What is taken off the price."""
        return self.field("discount", "Discount, %", self.document, "on the price, before tax")

    def novelty(self) -> Field:
        """How new the job is."""
        answers = tuple((name, NOVELTY_WORDS[name]) for name in NOVELTIES)
        return self.field("novelty", "The job is", {"novelty": "known", **self.document}, self.contingency(), answers)

    def facts(self) -> tuple[Field, ...]:
        """What few jobs need, each with the rule of the shop that asks for it."""
        if not self.terms:
            return ()
        held = self.document.get("facts", {})
        rates = {**self.inputs.rates.values, **dict.fromkeys(self.document.get("settings", {}))}
        return tuple(
            self.field(
                f"facts.{fact.name}", fact.label, held,
                "" if rates[f"rule_{fact.rule}"] != 0 else "Counts once the shop’s rule for it is on: "
                f"{SETTINGS_BY_NAME[f'rule_{fact.rule}'].label}.",
            )
            for fact in FACTS
        )  # fmt: skip

    def contingency(self) -> str:
        """What the answer to how new the job is does to its price."""
        reader = {name: show_setting(SETTINGS_BY_NAME[name], self.inputs.rates[name], self.system) for name in (
            "contingency_repeat", "contingency_known", "contingency_new",
        )}  # fmt: skip
        return "Contingency " + ", ".join(reader.values()) + "."

    def item(self, item: Mapping[str, Any]) -> ItemFields:
        """The fields of one item; where its design can't be read, what was typed is kept in hidden fields."""
        item_id, code = str(item["id"]), str(item.get("design", ""))
        stem = f"items.{item_id}"
        design = None if is_list(item) else self.design(item_id)
        shown = {f"{stem}.version"}
        numbers = self.versions.get(code, ())
        version = None
        if len(numbers) > 1:
            newest = (("", f"the newest ({numbers[0]})"), *((str(one), str(one)) for one in numbers))
            version = self.field(f"{stem}.version", "Version of the design", item, "", newest)
        sizes, choices = self.sizes(stem, item, design), self.choices(stem, item, design)
        stock = self.roles(stem, item, design)
        # Most of the price follows from what parts are cut from; the rest stands folded beneath it.
        main = tuple(field for kind, field in stock if kind in CUT_STOCK)
        others = tuple(field for kind, field in stock if kind not in CUT_STOCK)
        shown |= {field.name for field in (*sizes, *choices, *main, *others)}
        hidden = [Field(f"{stem}.design", "", code)]
        if version is None and item.get("version"):
            hidden.append(Field(f"{stem}.version", "", str(item["version"])))
        for table in ("sizes", "choices", "materials"):
            hidden += [
                Field(field, "", in_field(field, str(text)))
                for name, text in item.get(table, {}).items()
                if (field := f"{stem}.{table}.{name}") not in shown
            ]
        hidden += self.unseen_minutes(stem, item_id, item)
        return ItemFields(
            item_id, design.name if design else code or LIST_WORDS, f"/designs/{code}", tuple(hidden), version,
            self.field(f"{stem}.label", "Called on the quote", item, LABEL_HINTS[is_list(item)]),
            self.field(f"{stem}.quantity", "How many", {"quantity": "1", **item}),
            sizes, choices, main, others, self.sorted.entries.get(stem, ()),
            self.field(f"{stem}.jigs", "Jigs and templates to make", item, "Once for all of them."),
            self.listed(stem, item) if is_list(item) else None,
        )  # fmt: skip

    def listed(self, stem: str, item: Mapping[str, Any]) -> ListFields:
        """The fields of a list of parts without a design."""
        rows = sum(len(one.get("parts", ())) for one in self.document.get("items", ()))
        left = self.left.get(str(item["id"]), ())
        return build_list(stem, item, self.sorted.fields, self.stock, left, as_text=rows > MOST_IN_FIELDS)

    def unseen_minutes(self, stem: str, item_id: str, item: Mapping[str, Any]) -> list[Field]:
        """Minutes of steps that the design does not have at present; they come back with their answer."""
        seen = {step.operation for step in self.estimate.steps if step.item == item_id}
        return [
            Field(name := f"{stem}.minutes.{step}.{key}", "", in_field(name, str(text)))
            for step, entry in item.get("minutes", {}).items()
            if step not in seen
            for key, text in entry.items()
        ]

    def design(self, item_id: str) -> Design | None:
        """The design of an item, whether or not it could be taken off."""
        if item_id in self.taken:
            return self.taken[item_id].design
        document = self.inputs.designs.get(item_id)
        return read_design(document)[0] if document is not None else None

    def sizes(self, stem: str, item: Mapping[str, Any], design: Design | None) -> tuple[Field, ...]:
        """The sizes with their limits."""
        fields = []
        taken = self.taken.get(str(item["id"]))
        for size in ordered_sizes(design, self.system) if design else ():
            quantity = "length" if size.is_length else "number"
            least, most = (format_quantity(limit, quantity, self.system) for limit in (size.least, size.most))
            typed = item.get("sizes", {}).get(size.name, "")
            # The unit is said once: 600 to 1200 mm.
            unit = f" {most.rpartition(' ')[2]}" if " " in most else ""
            hint = f"{least.removesuffix(unit)} to {most}"
            if taken is not None and typed and size.name in taken.sizes:
                read = format_quantity(taken.sizes[size.name].value, quantity, self.system)
                hint = hint if read == as_shown(typed) else f"{read}; {hint}"
            value = {size.name: typed or write_quantity(size.usual, quantity, self.system)}
            fields.append(self.field(f"{stem}.sizes.{size.name}", size.says, value, hint))
        return tuple(fields)

    def choices(self, stem: str, item: Mapping[str, Any], design: Design | None) -> tuple[Field, ...]:
        """The choices with their answers in words."""
        return tuple(
            self.counted(
                item,
                choice.name,
                self.field(
                    f"{stem}.choices.{choice.name}",
                    choice.says,
                    {choice.name: item.get("choices", {}).get(choice.name, choice.usual)},
                    "",
                    tuple((answer, answer.replace("_", " ")) for answer in choice.answers),
                ),
            )
            for choice in (design.choices.values() if design else ())
        )

    def counted(self, item: Mapping[str, Any], name: str, field: Field) -> Field:
        """The field of a role or a choice, out of sight while nothing goes by it and nothing is wrong with it."""
        counts = self.counts.get(str(item["id"]))
        return field if counts is None or name in counts or field.problem else replace(field, idle=True)

    def roles(self, stem: str, item: Mapping[str, Any], design: Design | None) -> list[tuple[Kind, Field]]:
        """The stock roles, each with the materials of its kind to choose from."""
        used = {one.material.code for one in self.estimate.bought if item["id"] in one.required_by_item}
        taken = self.taken.get(str(item["id"]))
        fields = []
        for role in design.roles.values() if design else ():
            options = self.stock.get((str(item["id"]), role.name), self.stock.get(role.kind, ()))
            chosen = str(item.get("materials", {}).get(role.name, ""))
            held, hint, options = fill_place(role, chosen, taken, options, self.material_name, used)
            field = self.field(f"{stem}.materials.{role.name}", role.says, {role.name: held}, hint, options)
            fields.append((role.kind, self.counted(item, role.name, field)))
        return fields

    def material_name(self, code: str) -> str:
        """What a material is called; the code where nobody knows it."""
        catalogue: Catalogue = self.inputs.catalogue
        return catalogue.materials[code].name if code in catalogue.materials else code

    def line(self, line: Mapping[str, Any]) -> LineFields:
        """The fields of a free line, or of the empty row beneath them."""
        line_id = str(line["id"])
        stem = f"lines.{line_id}"
        return LineFields(
            line_id,
            self.field(
                f"{stem}.kind", "Kind", {"kind": "labour", **line}, "", tuple((kind, kind) for kind in LINE_KINDS)
            ),
            self.field(f"{stem}.says", "What for", line),
            self.field(f"{stem}.quantity", "How many", line),
            self.field(f"{stem}.minutes", "Minutes each", line, "for labour"),
            self.field(f"{stem}.each", f"Cost each, {self.estimate.currency}", line, "for the others, before profit"),
            (
                self.field(f"{stem}.carriage", f"{in_trade_words('Carriage one way')}, {self.estimate.currency}", line),
                self.field(f"{stem}.waiver", "Damage waiver, %", line),
            )
            if line.get("kind") == "hire"
            else (),
            self.sorted.entries.get(stem, ()),
            line_id == NEW_LINE,
        )

    def setting(self, name: str, entry: object) -> SettingFields:
        """The fields of a setting that is changed for this job."""
        held = entry if isinstance(entry, Mapping) else {"value": entry}
        setting = SETTINGS_BY_NAME.get(name)
        label, hint, options = name, "", Options()
        if setting is not None:
            label = setting.label
            hint = f"the shop's: {show_setting(setting, self.inputs.rates[name], self.system)}"
            options = tuple((one, one) for one in (("yes", "no") if setting.quantity == "yes_no" else setting.answers))
        stem = f"settings.{name}"
        return SettingFields(
            name, self.field(f"{stem}.value", label, held, hint, options), self.field(f"{stem}.why", "Why", held)
        )
