/** The device's camera as a reader of codes, where the browser has one. */
import type { Ability } from "./device.ts";

/** Of the Shape Detection API; the compiler's library does not know it. */
type Detector = {
  detect(video: HTMLVideoElement): Promise<readonly { readonly rawValue: string }[]>;
};
type DetectorClass = new (options: { readonly formats: readonly string[] }) => Detector;

const lookEveryMs = 200;

const detectorClass = (): DetectorClass | null =>
  "BarcodeDetector" in window
    ? (window as unknown as { readonly BarcodeDetector: DetectorClass }).BarcodeDetector
    : null;

export function canRead(): Ability {
  // Over plain http to another computer browsers hide both camera and detector.
  if (!isSecureContext) return "insecure";
  const hasCamera = "mediaDevices" in navigator;
  return detectorClass() !== null && hasCamera ? "yes" : "none";
}

/** Reads codes from the camera until it is told to stop. Rejects when the camera is refused. */
export async function readCodes(
  video: HTMLVideoElement,
  tell: (code: string) => void,
): Promise<() => void> {
  const Detector = detectorClass();
  if (Detector === null) throw new Error("this browser has no detector of codes");
  const detector = new Detector({ formats: ["qr_code"] });
  const stream = await navigator.mediaDevices.getUserMedia({
    video: { facingMode: "environment" },
  });
  video.srcObject = stream;
  await video.play();
  const timer = setInterval(() => {
    void detector.detect(video).then(
      (codes) => {
        const [first] = codes;
        if (first !== undefined) tell(first.rawValue);
      },
      // A frame that cannot be read is followed by the next.
      () => undefined,
    );
  }, lookEveryMs);
  return () => {
    clearInterval(timer);
    for (const track of stream.getTracks()) track.stop();
    video.srcObject = null;
  };
}
