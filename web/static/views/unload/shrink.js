/**
 * Photos made small enough to be taken in, on the phone: only those that are too large, or of a
 * kind that spyhole does not keep. Knows pixels and bytes, no kiln.
 */

/** As web/guard.py has it. */
const MAX_PHOTO_BYTES = 16777216;
const KEPT_AS_IT_IS = ["image/jpeg", "image/png", "image/webp"];
/** More pixels than this some phones refuse to draw (16.7 million on one maker's, from memory). */
const LONGEST_SIDE_PX = 4096;
const SMALLER = 0.75;
const QUALITY = 0.9;
const TRIES = 6;
const PREVIEW_PX = 160;

/**
 * @param {Blob} file
 * @param {number} mostBytes
 * @returns {Promise<Blob>} the file itself where it will do
 * @throws {Error} where it is no picture that this browser can read
 */
export async function smallEnough(file, mostBytes = MAX_PHOTO_BYTES) {
  if (file.size <= mostBytes && KEPT_AS_IT_IS.includes(file.type)) return file;
  const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  try {
    let side = Math.min(LONGEST_SIDE_PX, Math.max(picture.width, picture.height));
    for (let tries = 0; tries < TRIES; tries += 1) {
      const blob = await encoded(drawn(picture, side));
      if (blob.size <= mostBytes) return blob;
      side *= SMALLER;
    }
  } finally {
    picture.close();
  }
  throw new Error("no size is small enough");
}

/**
 * A small picture to look at; nothing that the page's own rules would keep from loading.
 * @param {Blob} file
 * @returns {Promise<HTMLCanvasElement>}
 */
export async function preview(file) {
  const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  try {
    return drawn(picture, PREVIEW_PX);
  } finally {
    picture.close();
  }
}

/** @param {ImageBitmap} picture @param {number} longestPx */
function drawn(picture, longestPx) {
  const scale = Math.min(1, longestPx / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(picture.width * scale));
  canvas.height = Math.max(1, Math.round(picture.height * scale));
  const context = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
  // What is clear in a PNG would come out black as a JPEG.
  context.fillStyle = "#ffffff";
  context.fillRect(0, 0, canvas.width, canvas.height);
  context.drawImage(picture, 0, 0, canvas.width, canvas.height);
  return canvas;
}

/** @param {HTMLCanvasElement} canvas @returns {Promise<Blob>} */
function encoded(canvas) {
  return new Promise((resolve, reject) => {
    canvas.toBlob((blob) => (blob ? resolve(blob) : reject(new Error("no picture came of it"))), "image/jpeg", QUALITY);
  });
}
