"use strict";

// The narrowest and the widest text that the service writes.
const WIDTHS = [40, 120];

/** How many letters fit on a line of an element. */
function columns(element) {
  const style = getComputedStyle(element);
  const pen = document.createElement("canvas").getContext("2d");
  pen.font = `${style.fontSize} ${style.fontFamily}`;
  const room = element.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight);
  const fit = Math.floor(room / (pen.measureText("0".repeat(100)).width / 100));
  return Math.min(Math.max(fit, WIDTHS[0]), WIDTHS[1]);
}

/** A problem in words: each error with its place. */
function inWords(problem) {
  const errors = problem.errors ?? [];
  const line = (error) => `- ${error.pointer || error.parameter || "the request"}: ${error.detail}`;
  return [problem.title, ...(errors.length > 0 ? errors.map(line) : [problem.detail ?? ""])].join("\n");
}

/** The field for a token, which is there from the first time that the service asks for one. */
function tokenField() {
  let field = document.getElementById("token");
  if (field === null) {
    const label = document.createElement("label");
    field = Object.assign(document.createElement("input"), { id: "token", type: "password", autocomplete: "off" });
    label.append("Token of this service", field);
    document.querySelector("header").append(label);
    field.focus();
  }
  return field;
}

async function ask(path, body, width) {
  const headers = { "content-type": "application/json", accept: "text/plain" };
  const token = document.getElementById("token")?.value;
  if (token) {
    headers.authorization = `Bearer ${token}`;
  }
  const response = await fetch(`${path}?width=${width}`, { method: "POST", headers, body });
  if (response.status === 401) {
    tokenField();
    return "This service answers only with a token. Write it into the field at the top, then try again.";
  }
  return response.ok ? response.text() : inWords(await response.json());
}

for (const section of document.querySelectorAll(".try")) {
  const request = section.querySelector("textarea");
  const answer = section.querySelector("pre");
  const send = section.querySelector(".send");
  const first = answer.textContent;

  send.addEventListener("click", async () => {
    send.disabled = true;
    try {
      answer.textContent = await ask(request.dataset.path, request.value, columns(answer));
    } catch {
      answer.textContent = "The service does not answer. Is it still running?";
    }
    answer.classList.add("whole");
    answer.scrollTop = 0;
    send.disabled = false;
  });

  section.querySelector(".back").addEventListener("click", () => {
    request.value = request.defaultValue;
    answer.textContent = first;
    answer.classList.remove("whole");
  });

  section.querySelector(".buttons").hidden = false;
}
