/** A sentence in which a bag's number is never broken at its hyphen. */
export function WithCode({ text, code }: { readonly text: string; readonly code: string }) {
  const at = text.indexOf(code);
  if (at === -1) return <>{text}</>;
  return (
    <>
      {text.slice(0, at)}
      <span class="whole">{code}</span>
      {text.slice(at + code.length)}
    </>
  );
}
