// The form: a request of this service, and nothing else. Controls name their fields by JSON pointers; what has no control is shown as JSON
// beside them.

import { isObject, merge, numberOf, parsed, pointed, pointersIn, put, split, take, valueAt } from "./values.js";

/** The questions that the form asks, each holding more than the one before. */
const QUESTIONS = ["applications", "balances", "seasons"];
/** The most lines of a list that a form is of use for. */
const MOST_LINES = 200;

/** What the form cannot send: the control, and why. */
export class FieldError extends Error {
  constructor(control, detail) {
    super(detail);
    this.control = control;
  }
}

export const form = document.getElementById("garden");
/** Beside demands, each of these makes it a season. */
const OF_A_SEASON = form.dataset.ofSeason.split(" ");
/** The fields of an area that are within `application` in a demand. */
const OF_AN_APPLICATION = form.dataset.ofApplication.split(" ");
/** The question that the opened request asks, or one that holds it. */
let least = "applications";
/** How many ids were given. */
let serial = 0;

// ---- Controls

/** What belongs to a line, or to the form and none of its lines. */
const within = (scope, selector) =>
  [...scope.querySelectorAll(selector)].filter((one) => scope !== form || one.closest(".item") === null);
/** Whether a control belongs to what is asked. */
export const isShown = (control) => control.closest("[hidden]") === null;
/** The lines of a list. */
const itemsOf = (pointer) => [...form.querySelectorAll(`[data-list="${pointer}"] .item`)];

/** An id that nothing on the page has. */
export const freshId = () => `field-${(serial += 1)}`;

/** Joins labels with their controls, which have no ids of their own as they may be there many times. */
function joinLabels(root) {
  for (const field of root.querySelectorAll(".field")) {
    const control = field.querySelector("input, select, textarea");
    control.id ||= freshId();
    field.querySelector("label").htmlFor = control.id;
  }
}

/** The input of a quantity, and its choice of units. */
function partsOf(quantity) {
  const [input, unit] = [quantity.querySelector("input"), quantity.querySelector("select")];
  const valuesOf = (options) => [...options].map((option) => option.value);
  return { input, unit, choices: valuesOf(unit.options), containers: valuesOf(unit.querySelectorAll("[data-own]")) };
}

/** Chooses a unit; without one, the unit is written with the number. */
function showUnit(quantity, chosen) {
  const { input, unit } = partsOf(quantity);
  unit.value = chosen;
  input.inputMode = chosen === "" ? "text" : "decimal";
}

/** Shows a quantity as number and unit, or as it is written. */
function showQuantity(quantity, value) {
  const { input, choices, containers } = partsOf(quantity);
  const written = typeof value === "string" ? value : JSON.stringify(value);
  const parts = split(written, choices, containers);
  input.value = parts?.number ?? written;
  showUnit(quantity, parts?.unit ?? "");
}

/** Takes a unit that is written with the number over into the choice. */
function tidyQuantity(quantity) {
  const { input, unit } = partsOf(quantity);
  input.value = pointed(input.value.trim());
  const before = unit.value;
  if (/[^\d.,/\s½¼¾+-]/.test(input.value)) {
    showQuantity(quantity, input.value);
    if (before !== "" && unit.value === "") {
      quantity.dataset.before = before;
    }
  } else {
    // A bare number has the unit again that a written one took the place of.
    showUnit(quantity, before || (quantity.dataset.before ?? ""));
    delete quantity.dataset.before;
  }
}

/** A quantity as the service reads it. */
function quantityOf(quantity) {
  const { input, unit } = partsOf(quantity);
  const text = pointed(input.value.trim());
  if (text === "" || unit.value !== "") {
    return text === "" ? undefined : `${text} ${unit.value}`;
  }
  return text.startsWith("{") ? (parsed(text) ?? text) : text;
}

/** What a control says; nothing if it is empty. */
function saidBy(control) {
  if (control.dataset.quantity !== undefined) {
    return quantityOf(control);
  }
  if (control.validity.badInput) {
    throw new FieldError(control, "This day is incomplete: write day, month and year.");
  }
  if (control.value.trim() === "") {
    return undefined;
  }
  return control.dataset.type === "number" ? numberOf(pointed(control.value.trim())) : control.value;
}

/** Whether a control, by its kind, can say a value. */
function canSay(control, value) {
  const isWords = typeof value === "string" && value.trim() !== "";
  if (control.dataset.quantity !== undefined) {
    return isObject(value) || (isWords && !value.trim().startsWith("{"));
  }
  // What is written in place of a number comes back as it was, so that it can be mended where it was written.
  const isNumeric = typeof value === "number" || isWords;
  return control.dataset.type === "number" ? isNumeric && numberOf(pointed(String(value).trim())) === value : isWords;
}

/** Shows a value; false if this control cannot. */
function showValue(control, value) {
  if (!canSay(control, value)) {
    return false;
  }
  if (control.dataset.quantity !== undefined) {
    showQuantity(control, value);
    return true;
  }
  control.value = String(value);
  const isShowing = control.value === String(value);
  control.value = isShowing ? control.value : "";
  return isShowing;
}

/** Whether the list that a control is an entry of can be shown whole: shown in part, it would come back in part. */
function isOfWholeList(scope, request, pointer) {
  const list = pointer.replace(/\/\d+$/, "");
  const entries = valueAt(request, list);
  if (list === pointer || !Array.isArray(entries)) {
    return true;
  }
  const controls = within(scope, `[data-at^="${list}/"]`);
  // Those shown already are taken out.
  return entries.every((entry, index) => entry === undefined || (index < controls.length && canSay(controls[index], entry)));
}

/** Offers the caller's containers as units. */
function offerContainers() {
  const names = itemsOf("/containers").map((item) => item.querySelector('[data-at="/name"]').value.trim());
  for (const unit of form.querySelectorAll("select[data-containers]")) {
    const chosen = unit.value;
    for (const option of unit.querySelectorAll("[data-own]")) {
      option.remove();
    }
    for (const name of names.filter(Boolean)) {
      const option = new Option(name, name);
      option.dataset.own = "";
      unit.add(option, 0);
    }
    unit.value = chosen;
    if (unit.selectedIndex < 0) {
      const { input } = partsOf(unit.parentElement);
      input.value += input.value && ` ${chosen}`;
      showUnit(unit.parentElement, "");
    }
  }
}

// ---- Ways of saying something, and what shows with each

/** Chooses the way that a request uses. */
function chooseWay(choice, request) {
  const options = [...choice.options];
  const kind = choice.dataset.kind && valueAt(request, choice.dataset.kind);
  const has = (option) => (option.dataset.has ?? "").split(" ").some((at) => at && valueAt(request, at) !== undefined);
  const ofKind = options.find((option) => option.dataset.has === undefined && option.value === kind);
  choice.value = (ofKind ?? options.find(has) ?? options[0]).value;
  if (ofKind) {
    take(request, choice.dataset.kind);
  }
}

/** Shows what belongs to the ways that are chosen, and offers those that fit. */
function showWays(scope) {
  for (const choice of within(scope, "[data-choice]")) {
    for (const one of within(scope, `[data-case^="${choice.dataset.choice}="]`)) {
      one.hidden = !one.dataset.case.split("=")[1].split(" ").includes(choice.value);
    }
    if (choice.value === "other") {
      within(scope, ".rest")[0].open = true;
    }
  }
  const shape = scope.querySelector('[data-choice="shape"]')?.value;
  for (const option of scope.querySelectorAll("option[data-fits]")) {
    const fits = option.dataset.fits.split(" ").includes(shape);
    option.disabled = option.hidden = !fits && !option.selected;
  }
}

/** Changes a rate that does not fit the shape any more. */
function fitRate(item) {
  const [shape, rate] = ["shape", "rate"].map((name) => item.querySelector(`[data-choice="${name}"]`));
  const fits = (option) => (option.dataset.fits ?? shape.value).split(" ").includes(shape.value);
  if (isShown(rate) && !fits(rate.selectedOptions[0])) {
    rate.value = [...rate.options].find(fits).value;
  }
}

/** The question that the form asks as it is filled in: the smallest that holds what is filled in. */
function question() {
  const said = [least];
  if (itemsOf("/stock").length > 0 || form.querySelector('[data-choice="shape"] option[value="amount"]:checked')) {
    said.push("balances");
  }
  if (itemsOf("/worm_beds").length > 0) {
    said.push("seasons");
  }
  return QUESTIONS[Math.max(...said.map((one) => QUESTIONS.indexOf(one)))];
}

/** Shows what belongs to the question, and numbers the lines. */
function showForm() {
  const asked = question();
  for (const one of form.querySelectorAll("[data-for]")) {
    one.hidden = !one.dataset.for.split(" ").includes(asked);
  }
  for (const list of form.querySelectorAll("[data-list]")) {
    itemsOf(list.dataset.list).forEach((item, index) => {
      const called = `${item.dataset.noun} ${index + 1}`;
      item.querySelector("legend").textContent = called;
      item.querySelector(".remove").setAttribute("aria-label", `Remove ${called}`);
    });
  }
}

// ---- From a request to the form

/** Fills the controls of a scope with what they can show, and the rest as JSON. */
function fill(scope, request) {
  for (const choice of within(scope, "[data-choice]")) {
    if (isShown(choice)) {
      chooseWay(choice, request);
      showWays(scope);
    }
  }
  for (const control of within(scope, "[data-at], [data-quantity]")) {
    const pointer = control.dataset.at ?? control.dataset.quantity;
    const value = isShown(control) ? valueAt(request, pointer) : undefined;
    if (value !== undefined && value !== null && isOfWholeList(scope, request, pointer) && showValue(control, value)) {
      take(request, pointer);
    }
  }
  const rest = within(scope, "[data-rest]")[0];
  rest.value = Object.keys(request).length > 0 ? JSON.stringify(request, null, 2) : "";
  rest.closest("details").open = rest.value !== "";
}

/** Adds an empty line to a list. */
function addItem(list) {
  const item = document.getElementById(list.dataset.template).content.firstElementChild.cloneNode(true);
  joinLabels(item);
  list.querySelector(".items").append(item);
  return item;
}

/** Chooses the units of the garden where no number is written yet. */
function useUnits(scope) {
  const system = form.elements.units.value;
  for (const quantity of scope.querySelectorAll("[data-quantity]")) {
    if (quantity.querySelector("input").value.trim() === "") {
      showUnit(quantity, quantity.querySelector("select").dataset[system]);
    }
  }
}

/** An area as the demand that it would be; it has no `application` of its own. */
function demandOf(area) {
  const demand = { ...area };
  for (const name of OF_AN_APPLICATION.filter((one) => one in area)) {
    delete demand[name];
    demand.application = { ...demand.application, [name]: area[name] };
  }
  return demand;
}

/** The lists of the form that a request fills. */
function listsOf(request) {
  const lists = [...form.querySelectorAll("[data-list]")].map((list) => ({ list, items: request[list.dataset.list.slice(1)] }));
  return lists.filter(({ items }) => items);
}

/** Throws in words if this form cannot hold the whole of a request. */
function refuse(request, holder) {
  if (!isObject(request) || !["areas", "demands", "stock"].some((name) => name in request)) {
    const lacks = 'it has neither "areas" nor "demands"';
    throw new Error(`This ${holder} holds nothing about places, stock or worm beds: ${lacks}.`);
  }
  if ("areas" in request && "demands" in request) {
    throw new Error('This form cannot hold "areas" and "demands" together. Leave out "areas", or "demands".');
  }
  for (const name of ["areas", ...[...form.querySelectorAll("[data-list]")].map((list) => list.dataset.list.slice(1))]) {
    const items = request[name] ?? [];
    const wrong = Array.isArray(items) ? items.findIndex((item) => !isObject(item)) : 0;
    if (!Array.isArray(items) || wrong >= 0) {
      const what = Array.isArray(items) ? `Item ${wrong + 1} of "${name}" is not an object.` : `"${name}" is not a list.`;
      throw new Error(`${what} Write a list of objects there, for example [{"name": "north"}].`);
    }
    if (items.length > MOST_LINES) {
      throw new Error(`This form holds up to ${MOST_LINES} lines of a kind. Send a longer file to the service directly.`);
    }
  }
  const wrong = (request.areas ?? []).findIndex((area) => "application" in area);
  if (wrong >= 0) {
    throw new Error(`Area ${wrong + 1} has "application", which belongs in "demands". Write its fields in the area itself.`);
  }
}

/** Shows a request; throws in words if this form cannot hold it. What holds the request is named in them. */
export function show(request, holder = "file") {
  refuse(request, holder);
  const left = structuredClone(request);
  const isSeason = OF_A_SEASON.some((name) => name in left);
  least = "areas" in left ? "applications" : isSeason ? "seasons" : "balances";
  if (left.areas) {
    left.demands = left.areas.map(demandOf);
  }
  delete left.areas;
  const lists = listsOf(left);
  clear(left.units);
  if (["us", "metric"].includes(left.units)) {
    delete left.units;
  }
  const lines = lists.flatMap(({ list, items }) => items.map((line) => ({ list, item: addItem(list), line })));
  lists.forEach(({ list }) => delete left[list.dataset.list.slice(1)]);
  useUnits(form);
  showForm();
  // Containers come first, since other lines are measured in them.
  const isContainer = ({ list }) => list.dataset.list === "/containers";
  lines.filter(isContainer).forEach(({ item, line }) => fill(item, line));
  offerContainers();
  lines.filter((line) => !isContainer(line)).forEach(({ item, line }) => fill(item, line));
  fill(form, left);
}

/** Empties every control but the token, and removes all lines. */
function clear(units) {
  const token = form.elements.token.value;
  form.reset();
  form.elements.token.value = token;
  form.elements.units.value = units === "us" ? "us" : "metric";
  form.querySelectorAll(".item").forEach((item) => item.remove());
}

// ---- From the form to a request

/** The field in which a choice writes its word, and those that it leaves to what is shown as JSON. */
const fieldsOf = ({ dataset, value, selectedOptions }) =>
  [dataset.kind, ...(value === "other" ? selectedOptions[0].dataset.has.split(" ") : [])].filter(Boolean);

/** The place of a field in the request of this question. */
const outward = (asked, pointer) =>
  asked === "applications" ? pointer.replace(/^\/demands(?=\/|$)/, "/areas").replace(/^(\/areas\/\d+)\/application/, "$1") : pointer;

/** Gathers a scope into an object; throws the place and the words of what cannot be sent. */
function gather(scope, into, prefix, note) {
  for (const control of within(scope, "[data-choice], [data-at], [data-quantity]").filter(isShown)) {
    const { choice, kind, at, quantity } = control.dataset;
    const pointer = choice === undefined ? (at ?? quantity) : kind;
    const fields = choice === undefined ? [pointer] : fieldsOf(control);
    fields.forEach((field) => note(prefix + field, control.querySelector("input") ?? control));
    if (pointer === undefined) {
      continue;
    }
    const isWay = choice !== undefined && control.selectedOptions[0].dataset.has !== undefined;
    const value = choice === undefined ? saidBy(control) : isWay ? undefined : control.value;
    if (value !== undefined) {
      put(into, pointer, value);
    }
  }
  const rest = within(scope, "[data-rest]")[0];
  if (rest.value.trim() !== "") {
    const more = parsed(rest.value);
    if (!isObject(more)) {
      throw new FieldError(rest, 'Write a JSON object here, for example {"id": "north"}.');
    }
    merge(into, more);
    pointersIn(more, prefix).forEach((pointer) => note(pointer, rest));
  }
}

/** The request that the form holds, and where each of its fields and lines is in the form, by its pointer. */
export function collect() {
  const [asked, body, places] = [question(), Object.create(null), new Map()];
  const note = (pointer, control) => places.set(outward(asked, pointer), control);
  if (form.elements.units.value === "us") {
    body.units = "us";
  }
  gather(form, body, "", note);
  for (const list of form.querySelectorAll("[data-list]")) {
    const pointer = list.dataset.list;
    const items = itemsOf(pointer).map((item, index) => {
      const value = Object.create(null);
      gather(item, value, `${pointer}/${index}`, note);
      note(`${pointer}/${index}`, item.querySelector("legend"));
      return value;
    });
    note(pointer, list.querySelector(".add"));
    if (items.length > 0 || pointer === "/demands" || (pointer === "/stock" && asked === "balances")) {
      body[pointer.slice(1)] = items;
    }
  }
  if (asked === "applications") {
    body.areas = body.demands.map(({ application, ...others }) => ({ ...others, ...application }));
    delete body.demands;
  }
  return { question: asked, body, places };
}

// ---- What happens when

/** The day of whoever looks at the page. */
function today() {
  const now = new Date();
  return [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((part) => String(part).padStart(2, "0")).join("-");
}

/** Shows the form after an edit. Where that brings today's day into view for the first time, it is filled in. */
function showEdited() {
  const day = form.querySelector("[data-today]");
  const wasShown = isShown(day);
  showForm();
  if (!wasShown && isShown(day) && day.value === "" && !day.validity.badInput) {
    day.value = today();
  }
}

/** Tells that what the form holds has changed. */
const edited = () => form.dispatchEvent(new Event("edited"));

form.addEventListener("change", ({ target }) => {
  const scope = target.closest(".item") ?? form;
  const quantity = target.closest("[data-quantity]");
  if (["file", "token"].includes(target.id)) {
    return;
  }
  if (quantity) {
    tidyQuantity(quantity);
  }
  if (target.name === "units") {
    useUnits(form);
  }
  if (target.closest('[data-list="/containers"]')) {
    offerContainers();
  }
  showEdited();
  showWays(scope);
  if (target.dataset.choice === "shape") {
    fitRate(scope);
    showWays(scope);
  }
  edited();
});

form.addEventListener("click", ({ target }) => {
  const list = target.closest("[data-list]");
  if (target.matches(".add")) {
    const item = addItem(list);
    useUnits(item);
    offerContainers();
    showEdited();
    fill(item, {});
    item.querySelector("input, select").focus();
    edited();
  } else if (target.matches(".remove")) {
    target.closest(".item").remove();
    offerContainers();
    showEdited();
    list.querySelector(".add").focus();
    edited();
  }
});

joinLabels(form);
