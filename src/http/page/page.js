// The page: it sends what the form holds to the service, and shows the sheet that the service writes. Nothing is computed here.

import { FieldError, collect, form, freshId, isShown, show } from "./form.js";
import { decoded, encoded } from "./values.js";

/** The forms of an answer that can be taken away. */
const MEDIA = { html: "text/html", csv: "text/csv", svg: "image/svg+xml", calendar: "text/calendar" };
const ENDINGS = { html: "html", csv: "csv", svg: "svg", calendar: "ics" };
/** The most bytes of a file, and characters of a request in an address, that the service takes. */
const MOST_BYTES = 4 * 1024 * 1024;
const LONGEST_LINK = 8192;
const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
/** How long the form is left alone before the address follows it, in milliseconds. */
const REST = 300;

const element = (id) => document.getElementById(id);
const sheet = element("sheet");
const summary = element("summary");

/** Where each field of the last request is in the form, by its pointer. */
let places = new Map();
/** The request that was answered last. */
let answered = { question: "", text: "", link: "" };
/** Ends the request that is waited for, if one is. */
let asking = null;
/** What keeps the form in the address once it is left alone. */
let timer = 0;

// ---- The address

/** Keeps what the form holds in the address. */
async function remember(step = "replaceState") {
  clearTimeout(timer);
  try {
    history[step](null, "", `#${await encoded(JSON.stringify(collect().body))}`);
  } catch {
    // What cannot be sent yet is reported when it is asked.
  }
}

/** The request of the address, or the example. */
async function requestOfAddress() {
  if (location.hash.length <= 1) {
    return JSON.parse(form.dataset.example);
  }
  try {
    return await decoded(location.hash.slice(1));
  } catch {
    throw new Error("The address does not hold a whole form, perhaps because it was cut.");
  }
}

/** Shows what the address holds, or the example. */
async function recall() {
  clearErrors();
  try {
    show(await requestOfAddress(), "address");
  } catch (error) {
    show(JSON.parse(form.dataset.example));
    showErrors([{ detail: `${error.message} The form holds the example.` }]);
  }
  showStatus();
}

// ---- Errors

/** A new element. */
function make(name, properties, ...children) {
  const made = Object.assign(document.createElement(name), properties);
  made.append(...children);
  return made;
}

function clearErrors() {
  summary.hidden = true;
  summary.replaceChildren();
  document.querySelectorAll(".error").forEach((error) => error.remove());
  for (const control of form.querySelectorAll("[aria-describedby]")) {
    control.removeAttribute("aria-invalid");
    control.removeAttribute("aria-describedby");
    control.removeAttribute("tabindex");
  }
}

/** The errors that are mended by filling something in. */
const LACKING = ["missing_field", "exactly_one_of", "wrong_length"];
const isEmpty = (control) => control.matches("input, select") && control.value === "";
const around = (pointer) => pointer.slice(0, pointer.lastIndexOf("/"));

/** The control at a pointer, or one within it: an empty one if that is what it lacks. A line is its heading. */
function controlAt(pointer, isLacking) {
  const usable = [...places].filter(([, control]) => control.isConnected && isShown(control));
  const within = usable.filter(([place]) => place.startsWith(`${pointer}/`)).map(([, control]) => control);
  return new Map(usable).get(pointer) ?? (isLacking ? within.find(isEmpty) : undefined) ?? within[0];
}

/** The control that mends an error of the service, and whether it is to be filled in. Nothing if the form has none. */
function controlFor({ pointer = "", code, allowed = [] }) {
  const isLacking = LACKING.includes(code);
  // One of several fields; the field itself; the same field for all lines where a line lacks its own.
  const oneOf = code === "exactly_one_of" ? allowed.map((name) => `${pointer}/${name}`) : [];
  const ofAll = code === "missing_field" ? pointer.replace(/^\/[^/]+\/\d+(?=\/)/, "") : pointer;
  for (const at of [...oneOf, pointer, ofAll].filter(Boolean)) {
    const control = controlAt(at, isLacking);
    if (control) {
      return { control, isNeeded: isLacking && isEmpty(control) };
    }
  }
  // The nearest around it: the text for the whole, a field of the same parent, the heading of the line.
  for (let at = around(pointer); at; at = around(at)) {
    const control = controlAt(at, false);
    if (control) {
      return { control, isNeeded: false };
    }
  }
  return {};
}

/** The label of a control. */
const labelOf = (control) => control.closest(".field")?.querySelector("label").textContent;

/** What a control is called, with its line or its part of the form. */
function calledOf(control) {
  const part = control.closest(".item")?.querySelector("legend") ?? control.closest("section")?.querySelector("h2");
  return [part?.textContent, labelOf(control)].filter(Boolean).join(", ");
}

/** The words of an error without the line that it is about, which its place tells. */
const withoutLine = (words) => words.replace(/^[A-Z][a-z ]* \d+(?: \('.*?'\))?: /s, "");

/** What the form calls a field near a pointer, or a word of a choice; nothing if it has neither. */
function nameInForm(name, pointer, control) {
  const option = [...(control.options ?? [])].find((one) => one.value === name);
  for (let at = pointer; at && !option; ) {
    at = around(at);
    const field = places.get(`${at}/${name}`);
    if (field?.isConnected && isShown(field) && field.matches("input, select")) {
      return labelOf(field);
    }
  }
  return option?.textContent;
}

/** A date of the service (ISO 8601) as people write it. */
const inWords = (date, year, month, day) => `${Number(day)} ${MONTHS[month - 1] ?? month} ${year}`;

/** The words of an error of the service as the form says them: names in quotes or with _ are those of fields and of words to choose. */
function inWordsOfForm(words, pointer, control) {
  const spoken = (written, quoted) => {
    const name = nameInForm(quoted ?? written, pointer, control);
    return name === undefined ? written : `“${name}”`;
  };
  const named = withoutLine(words).replace(/"(\w+)"|\b[a-z]+(?:_[a-z]+)+\b/g, spoken);
  return named.replace(/\b(\d{4})-(\d\d)-(\d\d)\b/g, inWords);
}

/** What an error of the service says at its control. */
function textAt(control, { pointer, code, detail }, isNeeded) {
  if (isNeeded) {
    return "This is needed: please fill it in.";
  }
  if (control.matches("[data-rest]")) {
    return withoutLine(detail);
  }
  const isNoNumber = ["wrong_type", "not_an_integer"].includes(code);
  return (isNoNumber && control.dataset.takes) || inWordsOfForm(detail, pointer, control);
}

/** Writes an error at its control, and returns the way to it. */
function showErrorAt(control, text) {
  const message = make("p", { id: freshId(), className: "error", dir: "auto" }, text);
  control.id ||= freshId();
  if (control.matches("legend")) {
    control.tabIndex = -1;
    control.after(message);
  } else {
    (control.closest(".field") ?? control.parentElement).append(message);
    control.setAttribute("aria-invalid", "true");
  }
  control.setAttribute("aria-describedby", `${control.getAttribute("aria-describedby") ?? ""} ${message.id}`.trim());
  control.closest("details")?.setAttribute("open", "");
  const link = make("a", { href: `#${control.id}` });
  link.addEventListener("click", (event) => {
    event.preventDefault();
    control.focus();
  });
  return link;
}

/** Shows all errors of the service, or of the form itself: each at its field, and together above, where the focus goes. */
function showErrors(errors) {
  clearErrors();
  const lines = new Map();
  for (const error of errors) {
    const { control, isNeeded } = error.control ? error : controlFor(error);
    const text = control && error.detail ? textAt(control, error, isNeeded) : (error.detail ?? error.message);
    const line = control ? `${calledOf(control)}: ${text}` : text;
    // Several lines can lack what one control sets for all.
    if (!lines.has(line)) {
      const link = control && showErrorAt(control, text);
      link?.append(line);
      lines.set(line, make("li", { dir: "auto" }, link ?? line));
    }
  }
  const title = lines.size === 1 ? "One thing to change" : `${lines.size} things to change`;
  summary.append(make("h2", {}, title), make("ul", {}, ...lines.values()));
  summary.hidden = false;
  summary.focus();
}

// ---- Asking, and the answer

/** Whether the form holds what was answered last. */
function isAnswered() {
  try {
    const { question, body } = collect();
    return question === answered.question && JSON.stringify(body) === answered.text;
  } catch {
    return false;
  }
}

/** Says whether an answer is waited for, whether the one that is shown belongs to the form, and whether its day is the example's. */
function showStatus() {
  const day = form.querySelector("[data-today]");
  element("example-day").hidden = day.value !== element("example-day").dataset.day;
  const isOld = sheet.hasChildNodes() && !isAnswered();
  element("status").textContent = asking ? "Asking…" : isOld ? "The form has changed since this answer: ask again." : "";
}

/** What the service says in place of an answer. */
class Refusal extends Error {
  constructor(errors) {
    super();
    this.errors = errors;
  }
}

/** The media type of a response. */
const mediaOf = (response) => (response.headers.get("content-type") ?? "").split(";")[0].trim();

/** Sends a request; throws in words if nothing answers. */
async function post(asked, text, accept, signal) {
  const headers = { "content-type": "application/json", accept };
  const token = element("token").value;
  if (token) {
    headers.authorization = `Bearer ${token}`;
  }
  try {
    return await fetch(`v1/${asked}`, { method: "POST", headers, body: text, signal });
  } catch (error) {
    if (error.name === "AbortError") {
      throw error;
    }
    throw new Error("The service cannot be reached. What you wrote is kept in the address of this page: try again later.");
  }
}

/** Asks for a form of an answer; throws what the service says in its place, or a proxy before it. */
async function answerOf(asked, text, accept, signal) {
  const response = await post(asked, text, accept, signal);
  const media = mediaOf(response);
  if (response.ok && media === accept) {
    return response;
  }
  if (response.status === 401) {
    element("token-field").hidden = false;
    throw new FieldError(element("token"), "This service answers only with its token. Write it here, then ask again.");
  }
  if (media !== "application/problem+json") {
    const said = `${response.status} ${response.statusText}`.trim();
    throw new Error(`The service answered ${said}, in a form that this page cannot read. Perhaps a proxy sent it: try again later.`);
  }
  const problem = await response.json();
  throw new Refusal(problem.errors ?? [{ detail: `${problem.title}. ${problem.detail}` }]);
}

async function ask() {
  asking?.abort();
  const mine = new AbortController();
  asking = mine;
  clearErrors();
  showStatus();
  try {
    const { question, body, places: found } = collect();
    places = found;
    const text = JSON.stringify(body);
    await remember();
    const response = await answerOf(question, text, MEDIA.html, mine.signal);
    const [html, link] = [await response.text(), await encoded(text)];
    mine.signal.throwIfAborted();
    showAnswer({ question, text, link }, html);
  } catch (error) {
    if (!mine.signal.aborted) {
      showErrors(error.errors ?? [error]);
    }
  } finally {
    if (asking === mine) {
      asking = null;
      showStatus();
    }
  }
}

/** The markup of the service without its style: this page has a style sheet of its own, also for charts. */
const withoutStyle = (markup) => markup.replace(/<style>[^<]*<\/style>/g, "");

/** The sheet of the service as a part of this page: headings one lower, long lists folded. */
function partOfPage(html) {
  const main = new DOMParser().parseFromString(withoutStyle(html), MEDIA.html).querySelector("main");
  if (!main) {
    throw new Error("What came is another page and not an answer of this service. Perhaps you have to log in: load this page again.");
  }
  for (const heading of [...main.querySelectorAll("h3, h2, h1")]) {
    heading.replaceWith(make(`h${Number(heading.localName[1]) + 1}`, {}, ...heading.childNodes));
  }
  for (const caution of main.querySelectorAll(".fine ul > li")) {
    const [heading, ...text] = caution.childNodes;
    caution.append(make("details", {}, make("summary", {}, heading), make("p", {}, ...text)));
  }
  for (const long of main.querySelectorAll(".fine table, .labels, .plan")) {
    const parts = [long];
    while (!parts[0].matches("h3")) {
      parts.unshift(parts[0].previousElementSibling);
    }
    const details = make("details", {});
    long.after(details);
    details.append(make("summary", {}, parts.shift()), ...parts);
  }
  return main;
}

/** Shows an answer, and the ways to take it along. */
function showAnswer(asked, html) {
  sheet.replaceChildren(...partOfPage(html).childNodes);
  answered = asked;
  for (const link of element("links").querySelectorAll("[data-as]")) {
    link.href = `v1/${asked.question}?request=${asked.link}&as=${link.dataset.as}`;
  }
  for (const one of element("links").querySelectorAll("[data-for]")) {
    one.hidden = !one.dataset.for.split(" ").includes(asked.question);
  }
  element("key-hint").hidden = element("token").value === "" || asked.question !== "seasons";
  element("asked-path").textContent = `POST v1/${asked.question}`;
  element("asked-body").textContent = JSON.stringify(JSON.parse(asked.text), null, 2);
  element("links").hidden = false;
  sheet.focus({ preventScroll: true });
  sheet.scrollIntoView();
}

// ---- Files

function save(parts, type, name) {
  const url = URL.createObjectURL(new Blob(parts, { type }));
  make("a", { href: url, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}

/** Saves a form of the answer that no address can give: with a token, or of a long request. */
async function saveAnswer(link) {
  const { question, text } = answered;
  const media = MEDIA[link.dataset.as];
  try {
    const response = await answerOf(question, text, media);
    save([await response.blob()], media, `${question}.${ENDINGS[link.dataset.as]}`);
  } catch (error) {
    showErrors(error.errors ?? [error]);
  }
}

async function open(file) {
  try {
    if (file.size > MOST_BYTES) {
      throw new Error("This file is longer than the 4 MiB that the service takes.");
    }
    show(JSON.parse(await file.text()));
    clearErrors();
    form.dispatchEvent(new Event("edited"));
  } catch (error) {
    const detail = error instanceof SyntaxError ? `This file is not JSON: ${error.message}` : error.message;
    showErrors([{ detail: `${file.name}: ${detail}` }]);
  }
}

// ---- What happens when

form.addEventListener("edited", () => {
  clearTimeout(timer);
  timer = setTimeout(remember, REST);
  showStatus();
});

form.addEventListener("submit", (event) => {
  event.preventDefault();
  ask();
});

element("empty").addEventListener("click", () => {
  show({ areas: [{}] });
  clearErrors();
  sheet.replaceChildren();
  element("links").hidden = true;
  asking?.abort();
  asking = null;
  showStatus();
  // The way back in the browser brings the form back as it was.
  remember("pushState");
  form.querySelector(".item input").focus();
});

element("save").addEventListener("click", () => {
  try {
    const { body } = collect();
    const name = (body.name ?? "").replace(/[^\p{L}\p{N}]+/gu, "-").replace(/^-|-$/g, "") || "garden";
    save([`${JSON.stringify(body, null, 2)}\n`], "application/json", `${name}.json`);
  } catch (error) {
    showErrors([error]);
  }
});

element("open").addEventListener("click", () => element("file").click());
element("file").addEventListener("change", async ({ target }) => {
  await open(target.files[0]);
  target.value = "";
});

element("links").addEventListener("click", (event) => {
  const link = event.target.closest("[data-as]");
  if (link && (element("token").value !== "" || answered.link.length > LONGEST_LINK)) {
    event.preventDefault();
    saveAnswer(link);
  }
});

// Folded texts are printed too.
addEventListener("beforeprint", () => {
  for (const details of sheet.querySelectorAll("details:not([open])")) {
    details.dataset.printed = "";
    details.open = true;
  }
});
addEventListener("afterprint", () => {
  for (const details of sheet.querySelectorAll("[data-printed]")) {
    delete details.dataset.printed;
    details.open = false;
  }
});

document.querySelector("main").hidden = false;
addEventListener("hashchange", recall);
// A browser's tools show when the form could be used.
recall().then(() => performance.mark("filled"));
