import Type from "typebox";
import { Fault } from "../../faults.ts";
import type { Service } from "../../service/service.ts";
import { Photo } from "../../wire/photo.ts";
import { closed, Id } from "../../wire/words.ts";
import { type Api, BatchPath, PathId } from "../api.ts";
import { photoTypeOf } from "../photobytes.ts";

/** The page makes its pictures smaller than this before it sends them. */
export const photoLimitBytes = 1_048_576;

const File = Type.Unsafe<Uint8Array>(Type.String({ format: "binary", description: "the file" }));
const tags = ["Photographs"];
const PhotoPath = Type.Object({ photo: PathId });

export async function photoRoutes(api: Api, service: Service): Promise<void> {
  // In a scope of its own: no other route takes a picture for its body.
  await api.register(async (scope) => {
    scope.addContentTypeParser(
      ["image/jpeg", "image/png", "image/webp"],
      { parseAs: "buffer", bodyLimit: photoLimitBytes },
      (_request, body, done) => done(null, body),
    );
    takePhotos(scope as Api, service);
  });
}

function takePhotos(api: Api, service: Service): void {
  api.get(
    "/api/batches/:batch/photos",
    {
      schema: {
        tags,
        summary: "The photographs of a batch, its trays and bags, oldest first",
        params: BatchPath,
        response: { 200: Type.Array(Photo) },
      },
    },
    ({ params }) => service.photos(params.batch),
  );
  api.post(
    "/api/batches/:batch/photos",
    {
      schema: {
        tags,
        summary: "Keep a photograph: the body is the JPEG, PNG or WebP file itself, up to 1 MiB",
        description: "Whatever else the file carries (place, camera) is kept with it.",
        params: BatchPath,
        querystring: Type.Object({ tray: Type.Optional(Id), bag: Type.Optional(Id) }, closed),
        consumes: ["image/jpeg", "image/png", "image/webp"],
        response: { 200: Type.Array(Photo) },
      },
    },
    ({ params, query, body }) => {
      const bytes = Buffer.isBuffer(body) ? body : Buffer.alloc(0);
      const type = photoTypeOf(bytes);
      if (type === null)
        throw new Fault("photo.not-a-picture", "the body is not a whole JPEG, PNG or WebP file");
      const of = { tray: query.tray ?? null, bag: query.bag ?? null };
      return service.addPhoto(params.batch, of, { type, bytes });
    },
  );
  api.get(
    "/api/photos/:photo",
    {
      schema: {
        tags,
        summary: "A photograph as it was sent",
        params: PhotoPath,
        produces: ["image/jpeg", "image/png", "image/webp"],
        response: { 200: File },
      },
    },
    ({ params }, reply) => {
      const { type, bytes } = service.photo(params.photo);
      reply.header("content-type", type);
      // A number is never given to another picture.
      reply.header("cache-control", "private, max-age=31536000, immutable");
      return bytes;
    },
  );
  api.delete(
    "/api/photos/:photo",
    {
      schema: {
        tags,
        summary: "Take a photograph away for good",
        params: PhotoPath,
        response: { 200: Type.Array(Photo) },
      },
    },
    ({ params }) => service.removePhoto(params.photo),
  );
}
