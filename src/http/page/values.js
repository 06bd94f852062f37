// Values by their JSON pointers (RFC 6901), what people type, and requests as an address has them.

/** Whether a value of JSON is an object. */
export const isObject = (value) => typeof value === "object" && value !== null && !Array.isArray(value);
const stepsOf = (pointer) => pointer.split("/").slice(1);
/** The value at a pointer, if there is one. */
export const valueAt = (root, pointer) => stepsOf(pointer).reduce((value, step) => memberOf(value, step), root);
const memberOf = (value, name) => (Object.hasOwn(Object(value), name) ? value[name] : undefined);

/** Puts a value at a pointer, with the objects and lists on its way. */
export function put(root, pointer, value) {
  const steps = stepsOf(pointer);
  const last = steps.pop();
  let parent = root;
  steps.forEach((step, index) => {
    const next = steps[index + 1] ?? last;
    parent[step] ??= /^\d+$/.test(next) ? [] : Object.create(null);
    parent = parent[step];
  });
  parent[last] = value;
}

/** Takes the value at a pointer out, with the objects and lists that are empty then. */
export function take(root, pointer) {
  const steps = stepsOf(pointer);
  const parents = steps.slice(0, -1).reduce((found, step) => [...found, found.at(-1)[step]], [root]);
  for (let depth = steps.length - 1; depth >= 0; depth -= 1) {
    if (Array.isArray(parents[depth])) {
      parents[depth][steps[depth]] = undefined;
    } else {
      delete parents[depth][steps[depth]];
    }
    if (Object.values(parents[depth]).some((value) => value !== undefined)) {
      return;
    }
  }
}

/** Adds the members of one object to another, and replaces what is no object. */
export function merge(into, from) {
  for (const [name, value] of Object.entries(from)) {
    if (isObject(value) && isObject(into[name])) {
      merge(into[name], value);
    } else {
      into[name] = value;
    }
  }
}

/** The pointer of every value within a value. */
export function pointersIn(value, prefix) {
  return Object.entries(typeof value === "object" && value !== null ? value : {}).flatMap(([name, one]) => {
    const pointer = `${prefix}/${name.replaceAll("~", "~0").replaceAll("/", "~1")}`;
    return [pointer, ...pointersIn(one, pointer)];
  });
}

/** A decimal comma as a point, where it can be nothing else. */
export const pointed = (text) => (/^-?(\d+,(\d{1,2}|\d{4,})|0,\d+)$/.test(text) ? text.replace(",", ".") : text);

/** The number and the unit of a quantity, if the unit is one of the choices, or several of a container. */
export function split(text, choices, containers) {
  const [, number, unit] = /^([+-]?[\d.,/\s½¼¾]*[\d½¼¾])\s*(\D.*)$/.exec(text.trim()) ?? [];
  const found = choices.find((choice) => choice === unit) ?? containers.find((name) => [`${name}s`, `${name}es`].includes(unit));
  return found ? { number, unit: found } : null;
}

/** What is written as a number of JSON; the service judges all else. */
export function numberOf(text) {
  return /^-?\d+(\.\d+)?$/.test(text) ? Number(text) : text;
}

/** A value of JSON, or nothing. */
export function parsed(text) {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}

async function bytesThrough(stream, bytes) {
  return new Uint8Array(await new Response(new Blob([bytes]).stream().pipeThrough(stream)).arrayBuffer());
}

/** A request as an address has it: compressed (RFC 1950), in base64url. */
export async function encoded(text) {
  let binary = "";
  for (const byte of await bytesThrough(new CompressionStream("deflate"), text)) {
    binary += String.fromCharCode(byte);
  }
  return btoa(binary).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}

/** The request of an address, compressed or plain. */
export async function decoded(text) {
  const bytes = Uint8Array.from(atob(text.replaceAll("-", "+").replaceAll("_", "/")), (letter) => letter.charCodeAt(0));
  const isCompressed = (bytes[0] & 0x0f) === 8;
  const plain = isCompressed ? await bytesThrough(new DecompressionStream("deflate"), bytes) : bytes;
  return JSON.parse(new TextDecoder().decode(plain));
}
