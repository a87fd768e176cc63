/** Photographs of a batch, its trays and its bags: taken with the device's camera, made small here, kept by the service. */
import { useSignal } from "@preact/signals";
import { useId } from "preact/hooks";
import type { Bag } from "../../../src/wire/bag.ts";
import type { Batch, Tray } from "../../../src/wire/batch.ts";
import type { Photo } from "../../../src/wire/photo.ts";
import { service, type PhotoOf } from "../ask.ts";
import { nowMs, say, speech } from "../page.ts";
import { showTime, trayName } from "../show.ts";
import { ActButton, Refused, useAct } from "./act.tsx";
import { useFetched } from "./fetched.ts";
import { Choice, Fold } from "./field.tsx";

/** Long side in pixels: enough to read a label by. */
const longSide = 1600;
const quality = 0.8;

export function Photos({ batch }: { readonly batch: Batch }) {
  const isOpen = useSignal(false);
  return (
    <Fold summary={say().batch.photos.title} onToggle={(open) => (isOpen.value = open)}>
      {isOpen.value && <Album batch={batch.id} trays={batch.trays} bag={null} />}
    </Fold>
  );
}

export function BagPhotos({ bag }: { readonly bag: Pick<Bag, "id" | "batch"> }) {
  const isOpen = useSignal(false);
  return (
    <Fold summary={say().batch.photos.title} onToggle={(open) => (isOpen.value = open)}>
      {isOpen.value && <Album batch={bag.batch} trays={[]} bag={bag.id} />}
    </Fold>
  );
}

type AlbumProps = {
  readonly batch: number;
  readonly trays: readonly Pick<Tray, "id" | "name">[];
  /** Only this bag's; null: all of the batch. */
  readonly bag: number | null;
};

function Album({ batch, trays, bag }: AlbumProps) {
  const texts = say().batch.photos;
  const id = useId();
  const act = useAct();
  const again = useSignal(0);
  const tray = useSignal("");
  const isUnreadable = useSignal(false);
  const { body, why } = useFetched(`${batch} ${again.value}`, () => service.photos(batch));
  const shown = body?.filter((photo) => bag === null || photo.bag === bag) ?? null;
  const add = async (file: File | undefined): Promise<void> => {
    isUnreadable.value = false;
    if (file === undefined) return;
    const picture = await madeSmall(file);
    if (picture === null) {
      isUnreadable.value = true;
      return;
    }
    const ofTray = tray.value === "" ? null : Number(tray.value);
    const of: PhotoOf =
      bag !== null
        ? { is: "bag", id: bag }
        : ofTray === null
          ? { is: "batch" }
          : { is: "tray", id: ofTray };
    if ((await act.run(() => service.addPhoto(batch, of, picture))) !== null) again.value++;
  };
  const nameOf = (photo: Photo): string => {
    if (photo.bagCode !== null) return texts.ofBag(photo.bagCode);
    const name = trays.find((one) => one.id === photo.tray)?.name;
    return name === undefined ? texts.ofBatch : trayName(speech.value, name);
  };
  return (
    <>
      <ul class="album">
        {shown?.map((photo) => (
          <li key={photo.id}>
            <a href={`api/photos/${photo.id}`} target="_blank" rel="noopener">
              <img
                src={`api/photos/${photo.id}`}
                alt={texts.alt(nameOf(photo), showTime(speech.value, photo.at, nowMs.value))}
                loading="lazy"
              />
            </a>
            <span class="quiet">
              {nameOf(photo)}, {showTime(speech.value, photo.at, nowMs.value)}
            </span>
            <ActButton
              label={texts.removeWhich(
                nameOf(photo),
                showTime(speech.value, photo.at, nowMs.value),
              )}
              asking={() => service.removePhoto(photo.id)}
              after={() => again.value++}
            >
              {texts.remove}
            </ActButton>
          </li>
        ))}
      </ul>
      {shown?.length === 0 && <p>{texts.none}</p>}
      {bag === null && (
        <Choice
          label={texts.of}
          of={tray}
          options={[
            { value: "", label: texts.ofBatch },
            ...trays.map((one) => ({
              value: String(one.id),
              label: trayName(speech.value, one.name),
            })),
          ]}
        />
      )}
      <div class="field">
        <label for={id}>{texts.add}</label>
        <input
          id={id}
          type="file"
          accept="image/*"
          onChange={(event) => {
            const input = event.currentTarget;
            void add(input.files?.[0]).then(() => (input.value = ""));
          }}
        />
      </div>
      <p role="status">{isUnreadable.value && texts.unreadable}</p>
      <Refused why={act.refusal ?? why} />
    </>
  );
}

/** As a JPEG that the service takes, with neither place nor camera; null: no picture. */
async function madeSmall(file: File): Promise<Blob | null> {
  try {
    const picture = await createImageBitmap(file);
    const scale = Math.min(1, longSide / Math.max(picture.width, picture.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.max(1, Math.round(picture.width * scale));
    canvas.height = Math.max(1, Math.round(picture.height * scale));
    canvas.getContext("2d")?.drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
    return await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", quality));
  } catch {
    return null;
  }
}
